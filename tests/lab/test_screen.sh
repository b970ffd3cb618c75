#!/bin/sh
# The screen on real terminals of three sizes while the radar's run is pulled:
# what stands there, each key, each end, and that the terminal is given back.
. "$(dirname "$0")/boat.sh"
screen=$lab_here/screen.py
[ -x /usr/bin/python3 ] && /usr/bin/python3 -c 'import pyte' 2>/dev/null ||
	skip "python3-pyte is not installed"

boat_up flood radar sounder display
announce radar talk 100
announce sounder talk 500
announce display talk 1000
plan_of_boat >plan.ini
in_laptop /usr/bin/python3 "$screen" sizes "$FAIRLEAD" 2>screen.log ||
	fail "$(cat screen.log)"
