#!/bin/sh
# The radar's plug is pulled at a cheap switch, which floods LLDP. Somebody else
# who listens at the same port, without a terminal, is told so in a line.
. "$(dirname "$0")/boat.sh"
need_tools lldpd

boat_up flood radar sounder display
announce radar lldp 1
announce sounder lldp 1
announce display talk 500
listen_begin --for 45s
ip netns exec laptop "$FAIRLEAD" listen --port e0 --plan plan.ini --for 43s \
	>lines.log 2>said.log &
teller=$!
sleep 15
pull radar
listen_end 1
status=0
wait $teller || status=$?
[ $status -eq 1 ] || fail "who tells lines ended with $status"
holds answer.json 'findings("device-missing") == ["radar"]'
holds answer.json '"run W1" in first()'
holds answer.json 'device("sounder")["state"] == "heard"'
holds answer.json 'device("display")["state"] == "heard"'
[ "$(grep -c ' radar fell silent\.$' lines.log)" -eq 1 ] ||
	fail "no line, or more than one, tells that the radar fell silent"
[ "$(grep -c ' fell silent\.$' lines.log)" -eq 1 ] ||
	fail "a line tells of somebody else's silence"
grep -q '^RADAR IS MISSING' lines.log || fail "the answer is not behind the lines"
