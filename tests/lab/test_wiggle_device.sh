#!/bin/sh
# The radar's plug comes loose three times under somebody's hands: LOST within
# 1.5 s, one bell each, a tick while it is heard, and the answer says how often.
. "$(dirname "$0")/boat.sh"
need_screen

boat_up flood radar sounder display
announce radar talk 100
announce sounder talk 500
announce display talk 1000
plan_of_boat >plan.ini
on_screen wiggle_device
