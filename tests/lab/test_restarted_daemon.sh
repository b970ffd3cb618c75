#!/bin/sh
# Programs of devices end and are started anew, their networks stay. Those of
# the radar are killed, all at once, and all that was heard of it stops for
# 12 s: that was its software, or cannot be told. One of the sounder's says
# farewell and another goes on: it never fell. No cable is to blame.
. "$(dirname "$0")/boat.sh"
need_tools lldpd avahi-daemon miniupnpd

programs() {
	announce radar mdns
	announce radar ssdp 1
}

boat_up flood radar sounder display
announce sounder lldp 1
announce sounder talk 500
announce display talk 1000
listen_begin --for 68s
# The radar is switched on, so that it is known how its stack starts; then it
# asks for a router no more.
power_off radar
power_on radar
sleep 2
ip netns exec radar sysctl -qw net.ipv6.conf.e0.router_solicitations=0
programs
sleep 27
ip netns pids radar | xargs kill -9
stop sounder lldpd TERM
sleep 12
programs
announce sounder lldp 1
listen_end answered
holds answer.json 'device("sounder")["dropouts"] == device("display")["dropouts"] == 0'
holds answer.json 'set(returned("radar")) <= {"software", "cannot_tell"}'
holds answer.json 'findings("device-restarts") == []'
holds answer.json 'not any(p.startswith(("run ", "port ")) for p in (first() if a["suspects"] else []))'
