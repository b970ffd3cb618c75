#!/bin/sh
# A plan that says how often its devices are heard, and one that was never
# there: at the start it is said when a silence means something, as the rule in
# DEVELOPERS.md has it, and then listening ends by itself and names that device.
. "$(dirname "$0")/boat.sh"
need_tools lldpd

boat_up flood radar sounder display
boat="$boat camera"
announce radar talk 1000
announce sounder talk 2000
announce display lldp 1
plan_of_boat | sed -e '/^kind = radar/a cadence = 1 s' \
	-e '/^kind = sounder/a cadence = 2 s' \
	-e '/^kind = display/a cadence = 1 s' \
	-e '/^kind = camera/a cadence = 3 s' >plan.ini
# "Silence" and "Never heard": P_n < 1e-8 with ten beats heard and none missed;
# so many beats of the slowest, 1 s until a beat is missed, and 1.2 s that a
# frame may be late; never under 20 s.
python3 -c '
chance, beats = 1.0, 0
while chance >= 1e-8:
    r = (1 + beats) / (21 + 10 + beats)
    chance *= max(r, 1e-4) if beats == 0 else max(r, max(0.05, 0.5 / 10))
    beats += 1
print("%.9f" % max(20, beats * 3 + 1 + 1.2))' >bound
begun=$(date +%s.%N)
ends_with 1 in_laptop "$FAIRLEAD" listen --port e0 --plan plan.ini --json \
	>answer.json 2>listen.log
python3 -c '
import re, sys
bound, took = float(open("bound").read()), float(sys.argv[2]) - float(sys.argv[1])
said = re.search(r"A silence means something in (\d+) s\.", open("listen.log").read())
if not said or int(said[1]) != round(bound):
    sys.exit("FAILED: %g s by the rule, but: %s" % (bound, open("listen.log").read()))
if not 0.8 * bound <= took <= 1.2 * bound:
    sys.exit("FAILED: it ended after %.1f s, not about %g s" % (took, bound))
' "$begun" "$(date +%s.%N)"
holds answer.json 'a["heard"]["firm"]'
holds answer.json 'findings("device-missing") == ["camera"]'
holds answer.json 'device("camera")["state"] == "absent"'
holds answer.json '[device(n)["state"] for n in ("radar", "sounder", "display")] == 3 * ["heard"]'
[ "$(left_laptop)" = "0 0" ] || fail "frames left: $(left_laptop)"
