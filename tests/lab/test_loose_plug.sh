#!/bin/sh
# The radar's cable loses 3 frames in 100, which is nobody's silence, and its
# plug comes loose three times for 3 s: the radar comes and goes, of the others
# nothing is said.
. "$(dirname "$0")/boat.sh"

boat_up flood radar sounder display
join_panel radar
announce radar talk 50
announce sounder talk 500
announce display talk 1000
order lose W1 3 >/dev/null
listen_begin --for 45s
sleep 20
for time in 1 2 3; do
	order cut W1 >/dev/null
	sleep 3
	order mend W1 >/dev/null
	order lose W1 3 >/dev/null
	sleep 4
done
listen_end 1
holds answer.json 'findings("device-comes-and-goes") == ["radar"]'
holds answer.json 'findings("device-missing") == []'
holds answer.json 'len(device("radar")["silences"]) == 3'
holds answer.json '"run W1" in first()'
holds answer.json 'device("sounder")["dropouts"] == device("display")["dropouts"] == 0'
