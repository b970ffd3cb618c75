#!/bin/sh
# A busy boat, whose plugs are pulled and put back: the screen holds no cell
# that it would not hold if all of it were drawn anew.
. "$(dirname "$0")/boat.sh"
need_screen

boat_up flood radar camera sounder display
for device in $boat; do
	announce "$device" talk 100
done
plan_of_boat >plan.ini
on_screen screen_redraws
