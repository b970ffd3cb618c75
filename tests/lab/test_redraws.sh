#!/bin/sh
# A busy boat, whose plugs are pulled and put back: the screen holds no cell
# that it would not hold if all of it were drawn anew.
. "$(dirname "$0")/boat.sh"
screen=$lab_here/screen.py
[ -x /usr/bin/python3 ] && /usr/bin/python3 -c 'import pyte' 2>/dev/null ||
	skip "python3-pyte is not installed"

boat_up flood radar camera sounder display
for device in $boat; do
	announce "$device" talk 100
done
plan_of_boat >plan.ini
in_laptop /usr/bin/python3 "$screen" redraws "$FAIRLEAD" 2>screen.log ||
	fail "$(cat screen.log)"
