#!/bin/sh
# Four devices with daemons of every kind, nothing wrong: that is the answer,
# and no frame has left the laptop.
. "$(dirname "$0")/boat.sh"
need_tools lldpd avahi-daemon dnsmasq busybox wsdd miniupnpd

boat_up flood radar camera sounder display
announce radar lldp 1
announce radar talk 100
announce camera wsd
announce camera ssdp 2
announce display dhcp
announce display mdns
announce display talk 1000
announce sounder lease
announce sounder lldp 2
sleep 2

listen_begin
listen_end 0
holds answer.json 'a["heard"]["firm"]'
# A pair of ports in software counts no damaged frames, and that is all.
holds answer.json '[f["id"] for f in a["findings"]] == ["errors-not-counted"]'
holds answer.json '[d["state"] for d in a["devices"]] == 4 * ["heard"]'
holds answer.json 'all(d["dropouts"] == 0 for d in a["devices"])'
"$FAIRLEAD" read --plan plan.ini visit/journal.jsonl >answer.log
grep -q '^NOTHING WRONG HEARD' answer.log || fail "it does not say so"
