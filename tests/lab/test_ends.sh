#!/bin/sh
# How a listening ends, and what it says when something is in its way: a full
# disk, somebody else's folder, a burst of signals, a lead that is not there.
. "$(dirname "$0")/boat.sh"
need_tools setpriv

boat_up flood radar display
announce radar talk 100
announce display talk 500
plan_of_boat >plan.ini

# listen NAME STATUS OPTION...: it ends so; what it wrote is NAME.out, NAME.err.
listen() {
	name=$1
	wanted=$2
	shift 2
	status=0
	in_laptop "$FAIRLEAD" listen "$@" >"$name.out" 2>"$name.err" || status=$?
	[ $status -eq "$wanted" ] ||
		fail "$name: $status in place of $wanted: $(cat "$name.err")"
}

says() {
	grep -q -- "$2" "$1" || fail "no '$2' in $1: $(cat "$1")"
}

never_says() {
	! grep -q -- "$2" "$1" || fail "'$2' in $1: $(cat "$1")"
}

# Signals on their way out: two TERM at once are timeout(1)'s, two HUP a closed
# terminal's, and of those that do not end none kills.
ip netns exec laptop "$FAIRLEAD" listen --port e0 --plan plan.ini --visit burst --for 1m \
	>burst.out 2>burst.err &
listener=$!
wait_for burst/journal.jsonl '"listens"' 20
sleep 4
kill -USR1 $listener
sleep 0.3
says burst.err 'fairlead: heard for .* 0 frames sent, [0-9]* observations in the visit'
kill -TERM $listener
kill -TERM $listener
for round in $(seq 60); do
	for signal in HUP USR1 USR2; do
		kill -$signal $listener 2>/dev/null || break 2
		sleep 0.005
	done
done
status=0
wait $listener || status=$?
[ $status -le 1 ] || fail "a burst of signals: $status"
says burst.out '^Heard\|^lab boat: heard'
says burst/journal.jsonl '"ends"'

# A disk that is full: said meanwhile and at the end; the answer is the same.
mkdir small
mount -t tmpfs -o size=64k tmpfs small
ip netns exec laptop "$FAIRLEAD" listen --port e0 --plan plan.ini --visit small/visit \
	--for 12s >full.out 2>full.err &
listener=$!
wait_for small/visit/journal.jsonl '"listens"' 20
dd if=/dev/zero of=small/filler bs=1k 2>/dev/null || true
status=0
wait $listener || status=$?
[ $status -eq 0 ] || fail "a full disk: $status: $(cat full.err)"
says full.out 'the visit cannot be written: make room'
says full.out 'NOTHING WRONG HEARD'
says full.err 'journal.jsonl: lines of it are lost'
umount small

# The answer itself: a full disk is told by the status.
status=0
in_laptop "$FAIRLEAD" listen --port e0 --for 2s --json >/dev/full 2>unwritten.err ||
	status=$?
[ $status -eq 3 ] || fail "an answer that was not written: $status"

# Folders that this user may not write, and journals that cannot be read.
mkdir -m 755 others
chown 65534:65534 others
listen others 3 --port e0 --plan plan.ini --visit others/visit --for 2s
says others.err 'name a folder that user .* may write'
never_says others.err 'setcap\|no_new_privs'
mkdir -p odd/journal.jsonl
listen odd 2 --port e0 --visit odd --for 2s
says odd.err 'odd/journal.jsonl: '

# A port of a name that would move the cursor.
listen escape 3 --port "$(printf 'e\033[31m9')" --for 2s
never_says escape.err "$(printf '\033')"

# A file that is set-user-ID listens for everybody, and reads as who called.
cp "$FAIRLEAD" program
chmod 4755 program
cp plan.ini secret.ini
chmod 600 secret.ini
as_nobody() {
	in_laptop setpriv --reuid=65534 --regid=65534 --clear-groups ./program "$@"
}
ends_with 2 as_nobody listen --port e0 --plan secret.ini --for 2s \
	>secret.out 2>secret.err
says secret.err 'secret.ini: cannot be read'
ends_with 2 as_nobody read --plan secret.ini plan.ini >secret.out 2>secret.err
ends_with 0 as_nobody listen --port e0 --plan plan.ini --for 8s \
	>suid.out 2>suid.err

# Questions: each address once, at the first port that has a link.
ip -n laptop link add e1 type veth peer name x1
ip -n laptop link set e1 arp off multicast off up
before=$(counted laptop e0 tx_packets)
listen ask 0 --port e1,e0 --plan plan.ini --ask --for 5s
says ask.err 'only one question\|^one question to each of 2 planned'
says ask.out 'ARP request for 10.77.0.1 at e0\.'
says ask.out 'ARP request for 10.77.0.4 at e0\.'
[ $(($(counted laptop e0 tx_packets) - before)) -eq 2 ] || fail "not asked twice"
ip -n laptop link set x1 up
before=$(counted laptop e1 tx_packets)
listen both 0 --port e0,e1 --plan plan.ini --ask --for 5s
says both.out 'fairlead asked 2 addresses'
[ "$(counted laptop e1 tx_packets)" -eq "$before" ] || fail "asked at e1 too"
ip -n laptop link set x1 down
status=0
in_laptop "$FAIRLEAD" listen --port e1 --plan plan.ini --ask --for 3s \
	>none.out 2>none.err || status=$?
says none.out 'nobody is asked yet: no port has a link'
says none.err 'nobody was asked: no port had a link'
status=0
in_laptop "$FAIRLEAD" listen --port e0 --ask --for 2s >bare.out 2>bare.err ||
	status=$?
says bare.err 'for no plan has an IPv4 address to ask'
