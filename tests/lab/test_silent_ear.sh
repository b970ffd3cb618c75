#!/bin/sh
# Nobody on the network: nothing could be heard, and that is no answer about
# the boat.
. "$(dirname "$0")/boat.sh"

boat_up flood
ends_with 3 in_laptop "$FAIRLEAD" listen --port e0 --for 5s --visit visit \
	>answer.log 2>listen.log
[ "$(left_laptop)" = "0 0" ] || fail "frames left: $(left_laptop)"
