#!/bin/sh
# The screen on real terminals of three sizes while the radar's run is pulled:
# what stands there, each key, each end, and that the terminal is given back.
# Without a terminal each event is a line, at once, and a reader may leave.
. "$(dirname "$0")/boat.sh"
need_screen

boat_up flood radar sounder display
announce radar talk 100
announce sounder talk 500
announce display talk 1000
plan_of_boat >plan.ini
ip netns exec laptop "$FAIRLEAD" listen --port e0 --plan plan.ini --for 3m \
	>lines.log 2>said.log &
teller=$!
begun=$(date +%s)
in_laptop "$FAIRLEAD" listen --port e0 --plan plan.ini --for 30s 2>left.log |
	head -n 1 >first.log
[ $(($(date +%s) - begun)) -lt 10 ] || fail "it went on though nobody read"
[ "$(wc -l <first.log)" -eq 1 ] || fail "no first line"
if grep -qv -e '^fairlead: listening' -e '^A silence' -e '^Of 3 devices' \
	-e '^every switch' -e '^It ends' left.log; then
	fail "it does not end quietly: $(cat left.log)"
fi
for device in $boat; do
	wait_for lines.log " first heard: $device\.$" 5
done
kill -TERM $teller
ends_with 0 wait $teller
grep -q '^NOTHING WRONG HEARD' lines.log || fail "no answer behind the lines"
on_screen screen_sizes
