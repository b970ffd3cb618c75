#!/bin/sh
# --ask: a device that says nothing of itself answers, and one ARP request for
# each planned address is all that leaves the laptop. RFC 826.
. "$(dirname "$0")/boat.sh"

boat_up flood radar sounder display
for quiet in radar sounder; do
	ip netns exec $quiet sysctl -qw net.ipv6.conf.e0.disable_ipv6=1
done
announce display talk 500
hear switch p-laptop left
listen_begin --for 10s --ask
listen_end answered 3
holds answer.json '[d["state"] for d in a["devices"]] == 3 * ["heard"]'
python3 -c '
import sys
frames = [bytes.fromhex(line) for line in open("left") if line[0] != "l"]
asked = sorted(f[38:42] for f in frames if f[12:22].hex() == "08060001080006040001")
if len(asked) != len(frames) or asked != [bytes([10, 77, 0, n]) for n in (1, 3, 4)]:
    sys.exit("FAILED: %d frames left: %s" % (len(frames), [f.hex() for f in frames]))
' || exit 1
