#!/bin/sh
# The laptop's port came up at 100 Mbit/s, half duplex, and lost its link six
# times: the answer has what the kernel says of it.
. "$(dirname "$0")/boat.sh"
need_tools ethtool

boat_up flood radar display
join_panel laptop
ip netns exec laptop ethtool -s e0 speed 100 duplex half autoneg off
announce radar talk 100
announce display talk 1000
listen_begin --for 25s
sleep 10
for flap in 1 2 3 4 5 6; do
	order carrier e0 off >/dev/null
	order carrier e0 on >/dev/null
done
listen_end answered
holds answer.json 'a["ports"][0]["mbit"] == 100'
holds answer.json 'a["ports"][0]["duplex"] == "half"'
holds answer.json 'a["ports"][0]["flaps"] == 6'
holds answer.json '[d["state"] for d in a["devices"]] == 2 * ["heard"]'
