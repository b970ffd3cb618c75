#!/bin/sh
# 10 000 frames a second for five seconds: each is counted, as heard or as lost
# by the host.
. "$(dirname "$0")/boat.sh"

boat_up flood radar
ip netns exec radar sysctl -qw net.ipv6.conf.e0.disable_ipv6=1
listen_begin --for 15s
before=$(counted laptop e0 rx_packets)
ip netns exec radar "$TALKER" e0 "$(mac_of radar)" "$(address_of radar)" \
	239.77.0.1 5001 0.1 50000 1000
came=$(($(counted laptop e0 rx_packets) - before))
[ $came -eq 50000 ] || fail "only $came frames came to the laptop's port"
listen_end answered
holds answer.json 'a["ears"][0]["frames"] + a["ears"][0]["lost"] == 50000'
holds answer.json 'a["ears"][0]["frames"] >= 45000'
