#!/bin/sh
# The camera's run loses 3 frames in 100 of numbered ones: the share that is
# told agrees with what the run counted, and all others have lost none.
. "$(dirname "$0")/boat.sh"

boat_up flood camera sounder display
join_panel camera
# Only what the camera numbers goes through its run.
ip netns exec camera sysctl -qw net.ipv6.conf.e0.disable_ipv6=1
ip -n switch link set p-camera type bridge_slave flood off mcast_flood off \
	bcast_flood off
announce camera lines 20
announce sounder lines 100
announce display talk 500
listen_begin --for 50s
sleep 3
before=$(order count W2)
order lose W2 3 >/dev/null
sleep 40
order mend W2 >/dev/null
after=$(order count W2)
listen_end answered
of() { echo "$2" | sed "s/.* $1 \([0-9]*\).*/\1/"; }
lost=$(($(of lost "$after") - $(of lost "$before")))
echo "the run lost $lost" >run.log
holds answer.json "device('camera')['loss']['missed'] == $lost > 20"
holds answer.json 'device("camera")["loss"]["received"] > 2000'
holds answer.json 'device("sounder")["loss"]["missed"] == 0 < device("sounder")["loss"]["received"]'
holds answer.json 'findings("frames-lost") == ["camera"]'
holds answer.json 'findings("device-comes-and-goes") == findings("device-missing") == []'

# The limits: at each of them, what was counted or what is farther out has a
# chance of 25 in 1000 by the binomial law.
python3 -c '
from math import exp, lgamma, log, log1p
import json
loss = next(d for d in json.load(open("answer.json"))["devices"]
            if d["name"] == "camera")["loss"]
k, n = loss["missed"], loss["missed"] + loss["received"]
def chance(i, p):
    return exp(lgamma(n + 1) - lgamma(i + 1) - lgamma(n - i + 1) +
               i * log(p) + (n - i) * log1p(-p))
tails = (sum(chance(i, loss["low"]) for i in range(k, n + 1)),
         sum(chance(i, loss["high"]) for i in range(k + 1)))
if not all(abs(tail - 0.025) < 1e-5 for tail in tails):
    raise SystemExit("FAILED: %s leaves %s" % (loss, tails))
' || exit 1
