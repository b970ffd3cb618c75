# boat.sh -- a boat's network in namespaces, for the scripts beside it.
#
#     . "$(dirname "$0")/boat.sh"
#     boat_up flood radar sounder        the switch, the laptop, two devices
#     announce radar lldp 1              a daemon of the radar
#     plan_of_boat >plan.ini
#     in_laptop "$FAIRLEAD" listen --port e0 --plan plan.ini ...
#
# What is here. A switch: the kernel's bridge br0 in the namespace `switch`,
# which floods LLDP (`flood`, a cheap switch) or holds it back (`eat`, as IEEE
# Std 802.1D has it). Each device is a namespace with a port e0 and the daemons
# it was given; `p-NAME` is its port at the switch. The laptop has a port e0
# that says nothing of itself, so that each frame that leaves it is ours.
#
# Whose it is. Each script runs itself anew in namespaces of its own, of
# networks, mounts and processes: names meet nobody else's, nothing of the host
# is touched, any number can run at once, and whatever way the script ends, the
# kernel ends all its processes and takes its networks down. It has
# $lab_seconds to end by itself.
#
# Where. The script's folder is /run/lab, in memory and its own too; there lie
# its logs, of which the ends are shown where a script fails. A device sees
# /run/lab/NAME as /run.
#
# Skips with 77 and one sentence where the rights or the tools are missing.
# FAIRLEAD, PANEL and TALKER name the programs.
#
# Learned here: kill -9 of lldpd still sends its farewell (another process of
# it does), so a loss of power is the cut first and the kill after. The kernel
# tells of links at most once a second, but counts all changes. An address or
# a group joined at a port makes frames: the laptop's has neither.
set -eu

: "${FAIRLEAD:?}" "${PANEL:?}" "${TALKER:?}"
lab_here=$(cd "$(dirname "$0")" && pwd)
lab_seconds=${lab_seconds:-120}

skip() {
	echo "SKIPPED: $*"
	exit 77
}

need_tools() {
	for tool in "$@"; do
		command -v "$tool" >/dev/null 2>&1 ||
			skip "$tool is not installed"
	done
}

lab_apart="unshare --net --mount --pid --fork --kill-child --mount-proc"
if [ -z "${lab_inside-}" ]; then
	PATH=$PATH:/usr/sbin:/sbin
	[ "$(id -u)" -eq 0 ] || skip "a network of one's own needs root"
	need_tools unshare timeout ip python3
	$lab_apart true 2>/dev/null || skip "no namespaces can be made here"
	lab_inside=1
	export PATH lab_inside
	exec timeout -k 5 "$lab_seconds" $lab_apart sh "$0" "$@"
fi
# A program that is sealed cannot trace itself to look for leaks; what else the
# sanitizers find must not look like an answer's status.
export ASAN_OPTIONS=detect_leaks=0:exitcode=99 UBSAN_OPTIONS=exitcode=99
# Whoever runs this by sudo is not whom a script means.
unset SUDO_UID SUDO_GID
mount -t tmpfs -o mode=755 tmpfs /run
mkdir /run/lab
cd /run/lab

lab_end() {
	status=$?
	case $status in
	0|77) ;;
	*)
		tail -n 3 -- */*.log 2>/dev/null || true
		for log in *.log *.json; do
			[ -s "$log" ] || continue
			echo "==> the end of $log"
			tail -c 3000 "$log"
		done ;;
	esac
}
trap lab_end EXIT

fail() {
	echo "FAILED: $*"
	exit 1
}

# quiet_net NAME: a namespace whose ports say nothing of themselves. It is the
# default of ports to come that is read; `all` does not reach them.
quiet_net() {
	ip netns add "$1"
	ip netns exec "$1" sysctl -qw net.ipv6.conf.default.disable_ipv6=1 \
		net.ipv6.conf.all.disable_ipv6=1
}

in_laptop() {
	ip netns exec laptop "$@"
}

number_of() {
	case $1 in
	radar) echo 1 ;;
	camera) echo 2 ;;
	sounder) echo 3 ;;
	display) echo 4 ;;
	laptop) echo 5 ;;
	*) fail "no such device: $1" ;;
	esac
}

mac_of() { echo "02:00:00:00:00:0$(number_of "$1")"; }
address_of() { echo "10.77.0.$(number_of "$1")"; }

feed_of() {
	case $1 in
	radar|camera) echo "breaker 12" ;;
	*) echo "breaker 14" ;;
	esac
}

# settle NAME: its port e0 gets what is its own, and comes up.
settle() {
	ip -n "$1" link set e0 address "$(mac_of "$1")"
	if [ "$1" = laptop ]; then
		ip -n laptop link set e0 arp off multicast off up
		return
	fi
	ip -n "$1" link set e0 up
	ip -n "$1" address add "$(address_of "$1")/24" dev e0
	ip -n "$1" route add 224.0.0.0/4 dev e0
}

# join NAME: a lead from e0 in NAME to p-NAME at the switch, both ends up.
join() {
	ip -n switch link add "p-$1" type veth peer name e0 netns "$1"
	ip -n switch link set "p-$1" master br0 up
	settle "$1"
}

# join_panel NAME: in place of its lead, a run of the patch panel, called W and
# its number, between the taps p-NAME and e0.
join_panel() {
	[ -c /dev/net/tun ] || skip "there is no /dev/net/tun"
	ip -n switch link delete "p-$1"
	panel_begin "W$(number_of "$1"),p-$1,e0"
	ip link set "p-$1" netns switch
	ip -n switch link set "p-$1" master br0 up
	ip link set e0 netns "$1"
	settle "$1"
}

# panel_begin NAME,TAP,TAP ...: see panel.c; chance is the same each time.
panel_begin() {
	mkfifo orders
	"$PANEL" 7 "$@" <orders >answers.log &
	panel=$!
	exec 3<>orders
	wait_for answers.log ready 5
}

# order WORDS...: what the panel is to do; its answer is printed.
order() {
	lines=$(wc -l <answers.log)
	echo "$*" >&3
	tries=50
	while [ "$(wc -l <answers.log)" -eq "$lines" ]; do
		tries=$((tries - 1))
		[ $tries -gt 0 ] || fail "the panel does not answer: $*"
		sleep 0.1
	done
	tail -n 1 answers.log
}

# boat_up flood|eat DEVICE...
boat_up() {
	quiet_net switch
	quiet_net laptop
	ip -n switch link add br0 type bridge mcast_snooping 0
	[ "$1" = eat ] ||
		ip -n switch link set br0 type bridge group_fwd_mask 0x4000
	ip -n switch link set br0 up
	shift
	join laptop
	boat=$*
	for device in "$@"; do
		ip netns add "$device"
		ip -n "$device" link set lo up
		join "$device"
		mkdir "$device"
	done
}

# join_far DEVICE...: these move to a second switch, the upper one, behind the
# panel's run W9; its ends are u0 at the lower switch and u1 at the upper.
join_far() {
	[ -c /dev/net/tun ] || skip "there is no /dev/net/tun"
	far=$*
	ip -n switch link add br1 type bridge mcast_snooping 0 \
		group_fwd_mask 0x4000
	ip -n switch link set br1 up
	panel_begin W9,u0,u1
	ip link set u0 netns switch
	ip link set u1 netns switch
	ip -n switch link set u0 master br0 up
	ip -n switch link set u1 master br1 up
	for device in $far; do
		ip -n switch link set "p-$device" master br1
	done
}

# switch_speaks: the lower switch has an address, and sends to one that nobody
# has, so that all hear it.
switch_speaks() {
	ip -n switch link set br0 address 02:00:00:00:00:09
	ip -n switch address add 10.77.0.9/24 dev br0
	ip -n switch neighbour replace 10.77.0.250 lladdr 02:00:00:00:00:fa \
		dev br0
}

# managed: the lower switch is Open vSwitch's, without a kernel's help. Its
# ports are called port1 and so on; the laptop's tells its name by LLDP; it
# and the display's are no edges of the spanning tree, or the laptop would hear
# of no change and the display's would be none. All are counted by sFlow.
managed() {
	ip -n switch link delete br0
	for device in $boat laptop; do
		new=port$(number_of "$device")
		ip -n switch link set "p-$device" down name "$new"
		ip -n switch link property add dev "$new" altname "p-$device"
		ip -n switch link set "$new" up
	done
	laptop_port=port5
	mkdir switch
	on switch ovsdb-tool create /run/conf.db \
		/usr/share/openvswitch/vswitch.ovsschema
	wait $!
	on switch ovsdb-server --remote=punix:/run/db.sock \
		--unixctl=/run/db.ctl --pidfile=/run/db.pid /run/conf.db
	wait_for_file switch/db.sock
	in_switch --no-wait init
	on switch ovs-vswitchd unix:/run/db.sock --unixctl=/run/switch.ctl \
		--pidfile=/run/switch.pid
	in_switch add-br br0 -- set bridge br0 datapath_type=netdev \
		rstp_enable=true other_config:rstp-forward-delay=4 \
		other_config:rstp-max-age=6 other_config:hwaddr=02:00:00:00:00:09
	for device in $boat laptop; do
		in_switch add-port br0 "port$(number_of "$device")"
	done
	for port in port4 port5; do
		in_switch set port $port other_config:rstp-port-auto-edge=false
	done
	in_switch set interface port5 lldp:enable=true
	ip -n switch link set br0 up
	switch_speaks
	in_switch -- --id=@s create sflow agent=br0 \
		'target="10.77.0.250:6343"' sampling=64 polling=2 -- \
		set bridge br0 sflow=@s >switch/sflow.log
}

in_switch() {
	ip netns exec switch ovs-vsctl --db=unix:/run/lab/switch/db.sock "$@"
}

switch_of() {
	case " ${far-} " in
	*" $1 "*) echo "upper switch" ;;
	*) echo "lower switch" ;;
	esac
}

# cut_run RUN TAP TAP, mend_run RUN TAP TAP: a run of the panel is cut through,
# and whole again; both ends see their link go and come.
cut_run() {
	order cut "$1" >/dev/null
	order carrier "$2" off >/dev/null
	order carrier "$3" off >/dev/null
}

mend_run() {
	order mend "$1" >/dev/null
	order carrier "$2" on >/dev/null
	order carrier "$3" on >/dev/null
}

# pull NAME, plug NAME: a plug at the switch, and back.
pull() { ip -n switch link set "p-$1" down; }
plug() { ip -n switch link set "p-$1" up; }

# power_off DEVICE...: all at one moment, without a farewell.
power_off() {
	for device in "$@"; do
		pull "$device"
	done
	for device in "$@"; do
		ip netns pids "$device" | xargs -r kill -9
	done
}

# power_on DEVICE: after power_off; everything of it is made anew but its MAC.
# What it does as it boots is the script's.
power_on() {
	ip netns delete "$1"
	# Its end of the lead goes with it, a moment later.
	while ip -n switch link show "p-$1" >/dev/null 2>&1; do
		sleep 0.1
	done
	rm -rf "./$1"
	mkdir "$1"
	ip netns add "$1"
	ip -n "$1" link set lo up
	join "$1"
}

# on DEVICE COMMAND...: a daemon, as on a machine of that name, until it ends.
on() {
	device=$1
	shift
	ip netns exec "$device" unshare --mount --uts sh -c '
		mount --bind "/run/lab/$0" /run
		hostname "$0"
		if [ -d /run/services ]; then
			mount --bind /run/services /etc/avahi/services
		fi
		cd /
		exec "$@"' "$device" "$@" >"$device/${1##*/}.log" 2>&1 3>&- &
}

# stop DEVICE PROGRAM SIGNAL: of all its programs, only this one.
stop() {
	for pid in $(ip netns pids "$1"); do
		grep -qx "$2" "/proc/$pid/comm" 2>/dev/null || continue
		kill "-$3" "$pid"
	done
}

announce_lldp() {
	printf '%s\n' "configure lldp tx-interval $2" \
		"configure system hostname $1" >"$1/lldpd.conf"
	mkdir -p "$1/lldpd"
	on "$1" lldpd -d -I e0 -u /run/lldpd.sock -O /run/lldpd.conf
}

announce_mdns() {
	mkdir -p "$1/avahi-daemon" "$1/services"
	printf '%s\n' '[server]' "host-name=$1" allow-interfaces=e0 \
		enable-dbus=no >"$1/avahi.conf"
	on "$1" avahi-daemon --no-drop-root --no-chroot --no-rlimits \
		-f /run/avahi.conf
}

announce_ssdp() {
	printf '%s\n' ext_ifname=lo listening_ip=e0 "notify_interval=$2" \
		"friendly_name=$1" \
		"uuid=00000000-0000-4000-8000-00000000000$(number_of "$1")" \
		>"$1/upnp.conf"
	on "$1" miniupnpd -d -f /run/upnp.conf -P /run/upnp.pid
}

announce_wsd() {
	on "$1" wsdd -i e0 -n "$1" -4 -p
}

# It hands out the sounder's address, and asks nobody.
announce_dhcp() {
	on "$1" dnsmasq -k -C /dev/null --port=0 --interface=e0 \
		--bind-interfaces --dhcp-range=10.77.0.100,10.77.0.150,120 \
		"--dhcp-host=$(mac_of sounder),$(address_of sounder)" \
		--dhcp-leasefile=/run/leases --user=root \
		--pid-file=/run/dnsmasq.pid
}

# It asks for its address in place of the one it was given, and keeps that of
# IPv6, or its stack would be mute.
announce_lease() {
	printf '%s\n' '#!/bin/sh' '[ "$1" != bound ] ||' \
		'	ip address add "$ip/24" dev e0' >"$1/lease"
	chmod +x "$1/lease"
	ip -4 -n "$1" address flush dev e0
	on "$1" busybox udhcpc -f -i e0 -s /run/lease -t 10 -T 1 -A 2
}

announce_talk() {
	number=$(number_of "$1")
	on "$1" "$TALKER" e0 "$(mac_of "$1")" "$(address_of "$1")" \
		"239.77.0.$number" "500$number" "$2"
}

# Numbered lines of IEC 61162-450, so that one that is missing shows.
announce_lines() {
	on "$1" "$TALKER" e0 "$(mac_of "$1")" "$(address_of "$1")" \
		239.192.0.3 60003 "$2" 0 lines
}

# announce DEVICE lldp SECONDS | mdns | ssdp SECONDS | wsd | dhcp | lease |
# talk MILLISECONDS | lines MILLISECONDS
announce() {
	"announce_$2" "$1" "${3-}"
}

plan_of_boat() {
	printf '%s\n' '[segment]' 'name = lab boat' \
		'laptop = lower switch port 5' '' '[switch lower switch]' \
		'ports = 8' 'feed = breaker 9'
	for device in $boat; do
		printf '%s\n' '' "[device $device]" "kind = $device" \
			"mac = $(mac_of "$device")" \
			"address = $(address_of "$device")" \
			"feed = $(feed_of "$device")" '' \
			"[run W$(number_of "$device")]" "from = $device" \
			"to = $(switch_of "$device") port $(number_of "$device")"
	done
	[ -z "${far-}" ] || printf '%s\n' '' '[switch upper switch]' \
		'ports = 8' 'feed = breaker 10' '' '[run W9]' \
		'from = upper switch port 8' 'to = lower switch port 8'
}

# counted NET PORT COUNTER, as /sys has them: rx_packets, tx_packets, ...
counted() {
	ip netns exec "$1" cat "/sys/class/net/$2/statistics/$3"
}

# How many frames left the laptop: by its own count, and by the other end's.
left_laptop() {
	echo "$(counted laptop e0 tx_packets) $(counted switch "${laptop_port-p-laptop}" rx_packets)"
}

# wait_for_file FILE: until it is there.
wait_for_file() {
	tries=100
	until [ -e "$1" ]; do
		tries=$((tries - 1))
		[ $tries -gt 0 ] || fail "no $1 within 10 s"
		sleep 0.1
	done
}

# wait_for FILE TEXT SECONDS: until a line of the file holds the text.
wait_for() {
	tries=$(($3 * 10))
	until grep -qs -- "$2" "$1"; do
		tries=$((tries - 1))
		[ $tries -gt 0 ] || fail "no '$2' in $1 within $3 s"
		sleep 0.1
	done
}

# listen_begin OPTION...: fairlead listens by itself from here on, a visit kept.
listen_begin() {
	plan_of_boat >plan.ini
	ip netns exec laptop "$FAIRLEAD" listen --port e0 --plan plan.ini \
		--visit visit --json "$@" >answer.json 2>listen.log &
	listener=$!
	wait_for visit/journal.jsonl '"listens"' 20
}

# listen_end STATUS [FRAMES]: it ended with this status, or for `answered` with
# 0 or 1; its answer is answer.json; so many frames left the laptop, none unless
# said; and the journal it wrote gives the same again.
listen_end() {
	status=0
	wait $listener || status=$?
	case "$1 $status" in
	"$status $status"|"answered 0"|"answered 1") ;;
	*) fail "listening ended with $status in place of $1" ;;
	esac
	[ "$(left_laptop)" = "${2-0} ${2-0}" ] ||
		fail "frames left: $(left_laptop)"
	replay_equal
}

# sealed PID USER: a process of this user without any right, for good.
sealed() {
	for line in "Uid:	$2	$2	$2	$2" 'CapInh:	0*' \
		'CapPrm:	0*' 'CapEff:	0*' 'CapAmb:	0*' \
		'NoNewPrivs:	1' 'Seccomp:	2'; do
		grep -q "^$line\$" "/proc/$1/status" ||
			fail "no '$line': $(cat "/proc/$1/status")"
	done
}

# replay_equal: visit/journal.jsonl replayed is the same journal, but for lines
# that begin a listening and those for people, and gives the answer of
# answer.json; so does the visit.
replay_equal() {
	"$FAIRLEAD" read --plan plan.ini --json --journal again.jsonl \
		visit/journal.jsonl >again.json 2>again.log || [ $? -eq 1 ]
	"$FAIRLEAD" read --visit visit --json >visit.json 2>visit.log ||
		[ $? -eq 1 ]
	grep -v '^{"\(said\|journal\)"' visit/journal.jsonl >once
	sed 1d again.jsonl | cmp once - || fail "the journal replays as another"
	cmp again.json visit.json || fail "the visit and its journal differ"
	cmp answer.json again.json || fail "the replay gives another answer"
}

# hear NET PORT FILE: each frame that comes in there, a line in hexadecimal.
hear() {
	ip netns exec "$1" python3 "$lab_here/frames.py" "$2" >>"$3" 3>&- &
	wait_for "$3" listening 10
}

# holds FILE EXPRESSION: what a JSON answer, `a`, must hold, in Python.
holds() {
	python3 -c '
import json, sys
a = json.load(open(sys.argv[1]))
def device(name):
    return next(d for d in a["devices"] if d["name"] == name)
def findings(kind):
    return [f["subject"] for f in a["findings"] if f["id"] == kind]
def first():
    top = a["suspects"][0]
    return [top["part"], *top["equals"]]
def fell(name):
    return [e for e in a["episodes"] if name in e["fell"]]
def returned(name):
    return [max(e["return"], key=e["return"].get) for e in fell(name)]
def port(words):
    return next(p for p in a["ports"] if words in p["port"])
if not eval(sys.argv[2]):
    sys.exit("FAILED: the answer does not hold " + sys.argv[2])
' "$1" "$2" || exit 1
}

# An emulator of terminals, of the system's own python.
need_screen() {
	/usr/bin/python3 -c 'import pyte' 2>/dev/null ||
		skip "python3-pyte is not installed"
}

# on_screen NAME: a python file beside this one that runs fairlead on terminals.
on_screen() {
	in_laptop /usr/bin/python3 -B "$lab_here/$1.py" "$FAIRLEAD" 2>screen.said ||
		fail "$(cat screen.said)"
}

# ends_with STATUS COMMAND...: nothing else than this status will do.
ends_with() {
	wanted=$1
	shift
	status=0
	"$@" || status=$?
	[ "$status" -eq "$wanted" ] ||
		fail "ended with $status in place of $wanted: $*"
}
