#!/bin/sh
# The radar's plug is pulled at a switch that holds LLDP back (IEEE Std 802.1D
# table 7-10): what the radar says to a group is all there is of it. SIGTERM
# ends the listening, and the answer is given all the same.
. "$(dirname "$0")/boat.sh"
need_tools lldpd miniupnpd

boat_up eat radar sounder display
announce radar lldp 1
announce radar ssdp 1
announce sounder talk 1000
announce display talk 500
hear laptop e0 heard
listen_begin --for 5m
sleep 16
pull radar
sleep 30
kill -TERM $listener
listen_end 1
holds answer.json 'findings("device-missing") == ["radar"]'
holds answer.json '"run W1" in first()'
grep -q '^0180c200000e' heard && fail "this switch lets LLDP through"
[ "$(wc -l <heard)" -gt 50 ] || fail "nobody spoke"
