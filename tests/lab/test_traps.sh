#!/bin/sh
# A switch sends SNMP traps, of both versions, by Debian's own program: that it
# started, and that a port lost and got its link, as the sounder's plug is
# pulled and put back. The port's losses are counted, and who sits there named.
. "$(dirname "$0")/boat.sh"
need_tools snmptrap lldpd

boat_up flood radar sounder display
switch_speaks
announce radar talk 100
announce sounder lldp 1
announce display talk 500

# trap1, trap2 KIND [PORT STATE]: RFC 1215 (2 linkDown, 3 linkUp), RFC 3418 and
# 2863 (5.1 coldStart, 5.3 linkDown, 5.4 linkUp), with ifIndex, ifOperStatus.
trap1() {
	ip netns exec switch snmptrap -v 1 -c public 10.77.0.250 \
		1.3.6.1.4.1.99999 10.77.0.9 "$1" 0 '' \
		1.3.6.1.2.1.2.2.1.1."$2" i "$2"
}

trap2() {
	kind=$1
	shift
	[ $# -eq 0 ] || set -- 1.3.6.1.2.1.2.2.1.1."$1" i "$1" \
		1.3.6.1.2.1.2.2.1.7."$1" i 1 1.3.6.1.2.1.2.2.1.8."$1" i "$2"
	ip netns exec switch snmptrap -v 2c -c public 10.77.0.250 '' \
		1.3.6.1.6.3.1.1.5."$kind" "$@"
}

listen_begin --for 70s
sleep 20
trap2 1
pull sounder
trap2 3 3 2
sleep 10
plug sounder
trap2 4 3 1
sleep 12
pull sounder
trap1 2 3
sleep 10
plug sounder
trap1 3 3
listen_end answered
holds answer.json 'port("port 3 of lower switch")["flaps"] == 2'
holds answer.json 'port("port 3 of lower switch")["run"] == "W3"'
holds answer.json 'port("port 3 of lower switch")["station"] == "sounder"'
holds answer.json 'port("port 3 of lower switch")["state"] == "up"'
holds answer.json 'port("port 3 of lower switch")["frames"] is None'
holds answer.json '18 < port("port 3 of lower switch")["without_link_seconds"] < 26'
holds answer.json '[p["port"] for p in a["ports"]] == ["e0", "port 3 of lower switch"]'
holds answer.json 'findings("link-flaps") == ["port 3 of lower switch"]'
holds answer.json 'findings("device-comes-and-goes") == ["sounder"]'
grep -q '"sign":"STARTING".*"mac":"02:00:00:00:00:09".*"coldStart"' visit/journal.jsonl ||
	fail "that the switch started is not told"
