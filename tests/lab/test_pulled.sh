#!/bin/sh
# The radar's plug is pulled at a cheap switch, which floods LLDP.
. "$(dirname "$0")/boat.sh"
need_tools lldpd

boat_up flood radar sounder display
announce radar lldp 1
announce sounder lldp 1
announce display talk 500
listen_begin --for 45s
sleep 15
pull radar
listen_end 1
holds answer.json 'findings("device-missing") == ["radar"]'
holds answer.json '"run W1" in first()'
holds answer.json 'device("sounder")["state"] == "heard"'
holds answer.json 'device("display")["state"] == "heard"'
