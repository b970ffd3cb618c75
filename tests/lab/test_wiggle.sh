#!/bin/sh
# The laptop's own lead comes loose ten times under somebody's hands: the bell
# rings within 0.2 s of the kernel's knowing, and all ten are counted.
. "$(dirname "$0")/boat.sh"
need_screen

boat_up flood radar sounder display
announce radar talk 100
announce sounder talk 500
announce display talk 1000
plan_of_boat >plan.ini
on_screen wiggle_link
