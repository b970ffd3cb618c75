#!/bin/sh
# Run by sudo, it becomes who called it before it writes a file; run by root
# itself, it stays root without any right.
. "$(dirname "$0")/boat.sh"

boat_up flood display
announce display talk 500
listen_begin --for 5s
sealed $listener 0
listen_end 0

mkdir own
chown 65534:65534 own
SUDO_UID=65534 SUDO_GID=65534 ip netns exec laptop "$FAIRLEAD" listen \
	--port e0 --plan plan.ini --visit own/visit --for 5s \
	>answer.log 2>said.log &
listener=$!
wait_for own/visit/journal.jsonl '"listens"' 20
sealed $listener 65534
status=0
wait $listener || status=$?
[ $status -eq 0 ] || fail "by sudo it ended with $status"
for file in visit visit/journal.jsonl visit/plan.ini; do
	[ "$(stat -c %u own/$file)" -eq 65534 ] ||
		fail "$file does not belong to who called sudo"
done
