#!/bin/sh
# One capability of the file is enough for somebody who is not root, and while
# it listens the program has none. Without, it says how to give it.
. "$(dirname "$0")/boat.sh"
need_tools setcap setpriv

boat_up flood display
announce display talk 500
plan_of_boat >plan.ini
mkdir own
chmod 777 own
nobody="setpriv --reuid=65534 --regid=65534 --clear-groups"
cp "$FAIRLEAD" program

status=0
in_laptop $nobody ./program listen --port e0 --for 3s >answer.log 2>listen.log ||
	status=$?
[ $status -eq 3 ] || fail "without the right it ended with $status"
grep -q 'setcap cap_net_raw' listen.log || fail "it does not say what is missing"

setcap cap_net_raw+ep program || skip "files hold no capabilities here"
ip netns exec laptop $nobody ./program listen --port e0 --plan plan.ini \
	--visit own/visit --json --for 15s >answer.json 2>listen.log &
listener=$!
wait_for own/visit/journal.jsonl '"listens"' 20
sealed $listener 65534
status=0
wait $listener || status=$?
[ $status -eq 0 ] || fail "with the right it ended with $status"
holds answer.json 'device("display")["state"] == "heard"'
[ "$(stat -c %u own/visit/journal.jsonl)" -eq 65534 ] ||
	fail "the journal belongs to somebody else"
