#!/bin/sh
# The breaker of radar and camera goes off: both fall silent without a word of
# farewell, and what they share comes before what they do not.
. "$(dirname "$0")/boat.sh"
need_tools lldpd

boat_up flood radar camera sounder display
announce radar lldp 1
announce radar talk 100
announce camera lldp 1
announce sounder lldp 1
announce display talk 500
listen_begin --for 45s
sleep 15
power_off radar camera
listen_end 1
holds answer.json 'sorted(findings("device-missing")) == ["camera", "radar"]'
holds answer.json '"feed breaker 12" in first()'
