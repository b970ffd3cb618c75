#!/bin/sh
# The run of a radar with every daemon of a real one carries nothing for 8 s,
# both its ends without a link, twice: the radar lost its link and did not
# restart.
. "$(dirname "$0")/boat.sh"
need_tools lldpd avahi-daemon busybox dnsmasq

boat_up flood radar sounder display
announce display dhcp
announce display talk 1000
announce radar lldp 1
announce radar mdns
announce radar lease
announce sounder talk 500
sleep 4
listen_begin --for 82s
sleep 32
for time in 1 2; do
	pull radar
	sleep 8
	plug radar
	sleep 14
done
listen_end 1
holds answer.json 'findings("device-comes-and-goes") == ["radar"]'
holds answer.json '"run W1" in first()'
holds answer.json 'device("sounder")["dropouts"] == device("display")["dropouts"] == 0'
holds answer.json 'findings("device-restarts") == []'
holds answer.json '[e["fell"] for e in a["episodes"]] == 2 * [["radar"]]'
holds answer.json 'returned("radar") == 2 * ["own_link"]'
