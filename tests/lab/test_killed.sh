#!/bin/sh
# Listening is killed in the middle, as by an empty battery, and goes on in the
# same visit: nobody is called silent for the time between, and what is kept
# has one order throughout.
. "$(dirname "$0")/boat.sh"

boat_up flood radar sounder
announce radar talk 100
announce sounder talk 1000
listen_begin --for 5m
sleep 15
kill -KILL $listener
wait $listener || true
lines=$(wc -l <visit/journal.jsonl)
[ "$lines" -gt 20 ] || fail "only $lines lines were kept of 15 s"
sleep 5
listen_begin --for 20s
listen_end 0
holds answer.json '[d["state"] for d in a["devices"]] == 2 * ["heard"]'
holds answer.json 'all(d["dropouts"] == 0 for d in a["devices"])'
holds answer.json '32 <= a["heard"]["seconds"] <= 42'
holds answer.json 'a["heard"]["deaf_seconds"] < 1'
