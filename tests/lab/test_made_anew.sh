#!/bin/sh
# The laptop's port is taken away and made anew under its name, as when an
# adapter is pulled from its socket: listening goes on, and who spoke in between
# is not called silent.
. "$(dirname "$0")/boat.sh"
need_tools lldpd

boat_up flood radar sounder display
announce radar talk 100
announce sounder lldp 1
announce display talk 1000
listen_begin --for 45s
sleep 15
ip -n laptop link delete e0
sleep 8
join laptop
listen_end 0
holds answer.json '7 <= a["heard"]["deaf_seconds"] <= 14'
holds answer.json '[d["state"] for d in a["devices"]] == 3 * ["heard"]'
holds answer.json 'all(d["dropouts"] == 0 for d in a["devices"])'
[ "$(grep -c 'said.*e0 was made anew and is listened at again' visit/journal.jsonl)" -eq 1 ] ||
	fail "that it listens again is not told once"
