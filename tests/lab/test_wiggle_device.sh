#!/bin/sh
# The radar's plug comes loose twice under somebody's hands: LOST within 1.5 s,
# one bell each, a tick while it is heard, and the answer says how often.
. "$(dirname "$0")/boat.sh"
screen=$lab_here/screen.py
[ -x /usr/bin/python3 ] && /usr/bin/python3 -c 'import pyte' 2>/dev/null ||
	skip "python3-pyte is not installed"

boat_up flood radar sounder display
announce radar talk 100
announce sounder talk 500
announce display talk 1000
plan_of_boat >plan.ini
in_laptop /usr/bin/python3 "$screen" device "$FAIRLEAD" 2>screen.log ||
	fail "$(cat screen.log)"
