#!/bin/sh
# A visit that is gone on with after a pause. What happened meanwhile was not
# heard: the lead was pulled, the clock was set back, somebody made notes. What
# is due counts from this sitting alone, and replay gives the same answer.
. "$(dirname "$0")/boat.sh"

boat_up flood radar sounder
# A second port of the laptop that leads nowhere yet.
ip -n laptop link add e1 type veth peer name e1-far
ip -n laptop link set e1 arp off multicast off up
announce radar talk 100
announce sounder talk 1000
plan_of_boat | sed -e '/^kind = radar/a cadence = 1 s' \
	-e '/^kind = sounder/a cadence = 1 s' >plan.ini

fairlead_jot() {
	"$FAIRLEAD" jot --visit visit "$@"
}

# sit STATUS OPTION...: one sitting, whose answer the visit replays.
sit() {
	wanted=$1
	shift
	ends_with "$wanted" in_laptop "$FAIRLEAD" listen --plan plan.ini \
		--visit visit --json "$@" >answer.json 2>listen.log
	visit_equal
}

visit_equal() {
	"$FAIRLEAD" read --visit visit --json >visit.json 2>visit.log ||
		[ $? -eq 1 ]
	cmp answer.json visit.json || fail "the visit gives another answer"
}

# Noted before anybody listened: it is part of the first answer.
mkdir visit
fairlead_jot mark before we listened >said.log
sit 0 --port e0 --for 20s
holds answer.json 'any("before we listened" in s for s in a["story"])'

# The lead is pulled three times while nobody listens, and notes are made. A
# plan whose silence means something in 20 s ends as soon as this sitting, of
# two ports one of them without a link, has heard as much.
for time in 1 2 3; do
	pull laptop
	sleep 0.5
	plug laptop
	sleep 0.5
done
fairlead_jot work on >said.log
ip netns exec laptop "$FAIRLEAD" listen --port e0,e1 --plan plan.ini \
	--visit visit --json >answer.json 2>listen.log &
listener=$!
begun=$(date +%s)
sleep 8
fairlead_jot mark in the midst >said.log
fairlead_jot work off >said.log
sleep 3
kill -USR2 $listener
status=0
wait $listener || status=$?
took=$(($(date +%s) - begun))
[ $took -le 45 ] || fail "a sitting of 20 s took $took s"
[ $status -eq 0 ] || fail "ended with $status"
visit_equal
holds answer.json 'findings("link-flaps") == []'
holds answer.json '[p["flaps"] for p in a["ports"] if p["port"] == "e0"] == [0]'
holds answer.json 'any("in the midst" in s for s in a["story"])'
holds answer.json 'any(" at e1 (" in s for s in a["story"] if "could not hear" in s)'
holds answer.json 'not any("not listening" in s for s in a["story"])'
holds answer.json '35 <= a["heard"]["seconds"] <= 70'
"$FAIRLEAD" jot --visit visit >noted.log
[ "$(sed 's/^[^ ]* [^ ]*  //' noted.log | tr '\n' ,)" = \
	"mark before we listened,work on,mark in the midst,work off,mark," ] ||
	fail "not all is listed: $(cat noted.log)"

# The clock was two hours ahead when all that was kept; the devices are dead.
python3 - <<'EOF'
import json
lines = []
for line in open("visit/journal.jsonl"):
    o = json.loads(line)
    for key in ("from", "to", "at"):
        if key in o:
            o[key] += 7200 * 10**9
    lines.append(json.dumps(o, separators=(",", ":")) + "\n")
open("visit/journal.jsonl", "w").writelines(lines)
EOF
power_off radar sounder
plug sounder
announce sounder talk 1000
sit 1 --port e0 --for 30s
holds answer.json 'findings("device-missing") == ["radar"]'
holds answer.json 'findings("clock-stepped") == ["laptop"]'
holds answer.json '-7300 <= a["heard"]["clock_moved_seconds"] <= -7000'

# A port that is named twice would be heard twice.
ends_with 2 in_laptop "$FAIRLEAD" listen --port e0,e0 2>twice.log
grep -q "named twice" twice.log || fail "not told: $(cat twice.log)"
