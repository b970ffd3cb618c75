#!/bin/sh
# Two switches joined by an uplink, which is cut through twice for 11 s: each
# time all behind it fall at once, nobody else does, and what only they share
# comes first.
. "$(dirname "$0")/boat.sh"
need_tools lldpd

boat_up flood radar camera sounder display
join_far camera display
announce radar lldp 1
announce camera talk 500
announce sounder lldp 1
announce display talk 500
listen_begin --for 72s
sleep 25
for time in 1 2; do
	cut_run W9 u0 u1
	sleep 11
	mend_run W9 u0 u1
	sleep 11
done
listen_end 1
holds answer.json 'sorted(findings("device-comes-and-goes")) == ["camera", "display"]'
holds answer.json '"run W9" in first()'
holds answer.json 'not set(first()) & {"run W1", "run W2", "run W3", "run W4"}'
holds answer.json '[sorted(e["fell"]) for e in a["episodes"]] == 2 * [["camera", "display"]]'
holds answer.json '[sorted(e["stayed"]) for e in a["episodes"]] == 2 * [["radar", "sounder"]]'
holds answer.json 'findings("device-restarts") == []'
