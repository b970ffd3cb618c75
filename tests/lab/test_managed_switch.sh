#!/bin/sh
# A managed switch speaks for itself: by LLDP which port the laptop is at, by
# sFlow what its ports count and what it does not know, by its spanning tree
# that a link which is no edge came back.
. "$(dirname "$0")/boat.sh"
need_tools ovs-vsctl ovs-vswitchd ovsdb-server ovsdb-tool

boat_up flood radar sounder display
managed
announce radar talk 100
announce sounder talk 500
announce display talk 1000
# Until its tree has settled.
sleep 12
listen_begin --for 60s
sleep 20
# Not at the switch: a port that is switched off lost nothing.
ip -n display link set e0 down
sleep 12
ip -n display link set e0 up
listen_end answered
for device in radar sounder display; do
	here="port $(number_of $device) of lower switch"
	holds answer.json "port('$here')['station'] == '$device'"
	holds answer.json "port('$here')['errors']['crc'] == 0"
	holds answer.json "port('$here')['errors']['late_collisions'] is None"
done
holds answer.json 'port("port 1 of lower switch")["flaps"] == 0'
holds answer.json 'port("port 4 of lower switch")["flaps"] == 1'
holds answer.json '[d["state"] for d in a["devices"]] == ["heard", "heard", "comes_and_goes"]'
grep -q '"sign":"NEIGHBOUR".*"other_text":"port5"' visit/journal.jsonl ||
	fail "which port the laptop is at was not told"
grep -q '"sign":"TOPOLOGY".*"number":1' visit/journal.jsonl ||
	fail "no change of the spanning tree was told"
