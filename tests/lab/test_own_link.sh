#!/bin/sh
# The laptop's own link goes down and comes back ten times: all ten are counted,
# though the kernel tells of few of them, and nobody is called silent for it.
. "$(dirname "$0")/boat.sh"
need_tools lldpd

boat_up flood radar sounder display
announce radar talk 100
announce sounder lldp 1
announce display talk 1000
listen_begin --for 40s
sleep 15
for flap in 1 2 3 4 5 6 7 8 9 10; do
	pull laptop
	sleep 0.2
	plug laptop
	sleep 0.2
done
listen_end answered
holds answer.json 'a["ports"][0]["flaps"] == 10'
holds answer.json 'findings("device-missing") == []'
holds answer.json '[d["state"] for d in a["devices"]] == 3 * ["heard"]'
