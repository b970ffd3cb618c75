#!/bin/sh
# The radar loses its power three times, and boots: its network is made anew,
# its daemons begin one after the other. It restarted; what it shares the
# breaker with did not.
lab_seconds=140
. "$(dirname "$0")/boat.sh"
need_tools lldpd avahi-daemon dnsmasq busybox miniupnpd

# boot: what the radar does once it has power; most of it takes its time.
boot() {
	announce radar lease
	sleep 1.5
	announce radar lldp 1
	sleep 0.5
	announce radar mdns
	announce radar ssdp 2
}

boat_up flood radar camera sounder display
announce display dhcp
announce display talk 1000
announce sounder lldp 1
announce camera talk 500
boot
sleep 3
listen_begin --for 95s
sleep 18
for time in 1 2 3; do
	power_off radar
	sleep 8
	power_on radar
	boot
	sleep 12
done
listen_end 1
holds answer.json 'findings("device-restarts") == ["radar"]'
holds answer.json 'len(fell("radar")) == 3'
holds answer.json 'all(e["return"]["rebooted"] > 0.8 for e in fell("radar"))'
holds answer.json 'set(first()) & {"feed breaker 12", "device radar"}'
holds answer.json 'all(device(name)["dropouts"] == 0 for name in ("camera", "sounder", "display"))'
