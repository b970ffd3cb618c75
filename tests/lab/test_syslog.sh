#!/bin/sh
# A switch logs that ports lost their links and got them back, in both forms of
# syslog, by the system's own program; what else it logs says nothing of ports.
. "$(dirname "$0")/boat.sh"
need_tools logger lldpd

boat_up flood radar sounder display
switch_speaks
announce radar lldp 1
announce sounder lldp 1
announce display talk 500

# log RFC TEXT
log() {
	ip netns exec switch logger --udp --server 10.77.0.250 --port 514 \
		"--$1" -p local7.notice -t linkd "$2"
}

listen_begin --for 50s
sleep 15
log rfc3164 "fan 1 runs at 3000 rpm"
pull radar
log rfc3164 "port 1 link down"
pull sounder
log rfc5424 "Interface eth0/3, changed state to down"
sleep 12
plug radar
log rfc3164 "port 1 link up"
plug sounder
log rfc5424 "Interface eth0/3, changed state to up"
sleep 5
log rfc5424 "user admin logged in from port 4"
listen_end answered
holds answer.json 'port("port 1 of lower switch")["flaps"] == 1'
holds answer.json 'port("port 1 of lower switch")["station"] == "radar"'
holds answer.json 'port("port 3 of lower switch")["flaps"] == 1'
holds answer.json 'port("port 3 of lower switch")["station"] == "sounder"'
holds answer.json 'all(p["state"] == "up" for p in a["ports"])'
holds answer.json 'sorted(p["port"] for p in a["ports"]) == ["e0", "port 1 of lower switch", "port 3 of lower switch"]'
