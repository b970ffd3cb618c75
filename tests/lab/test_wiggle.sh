#!/bin/sh
# The laptop's own lead comes loose ten times under somebody's hands: the bell
# rings within 0.2 s of the kernel's knowing, and all ten are counted.
. "$(dirname "$0")/boat.sh"
screen=$lab_here/screen.py
[ -x /usr/bin/python3 ] && /usr/bin/python3 -c 'import pyte' 2>/dev/null ||
	skip "python3-pyte is not installed"

boat_up flood radar sounder display
announce radar talk 100
announce sounder talk 500
announce display talk 1000
plan_of_boat >plan.ini
in_laptop /usr/bin/python3 "$screen" own_link "$FAIRLEAD" 2>screen.log ||
	fail "$(cat screen.log)"
