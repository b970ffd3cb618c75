#!/bin/sh
# The patch panel and the talker do what the other scripts rely on.
. "$(dirname "$0")/boat.sh"
[ -c /dev/net/tun ] || skip "there is no /dev/net/tun"

quiet_net left
quiet_net right
panel_begin W1,a0,a1
for end in "a0 left" "a1 right"; do
	set -- $end
	ip link set "$1" txqueuelen 10000
	ip link set "$1" netns "$2"
	ip -n "$2" link set "$1" up
done
hear right a1 heard

# talk COUNT [INTERVAL-MS]: frames, heard in a file that begins empty.
talk() {
	: >heard
	ip netns exec left "$TALKER" a0 02:00:00:00:00:01 10.77.0.1 \
		239.77.0.1 5001 "${2:-0.5}" "$1"
	sleep 0.5
}

# of_count WORD: a number out of the panel's count.
of_count() { order count W1 | sed "s/.* $1 \([0-9]*\).*/\1/"; }

# heard_is PYTHON: of the frames `f` heard and their numbers `n`, in order;
# made(i) is the talker's frame of number i, bits(a, b) in how many they differ.
heard_is() {
	python3 -c '
import sys
whole = bytes.fromhex(open("whole").read())
f = [bytes.fromhex(line) for line in open("heard")]
n = [int.from_bytes(one[46:50], "big") for one in f]
def made(i):
    return whole[:46] + i.to_bytes(4, "big") + whole[50:]
def bits(a, b):
    return sum(bin(x ^ y).count("1") for x, y in zip(a, b))
if not eval(sys.argv[1]):
    sys.exit("FAILED: not so of the %d frames heard: %s" % (len(f), sys.argv[1]))
' "$1" || exit 1
}

# The talker's frame: RFC 894, 1112 section 6.4 (the last 23 bits of a group
# are its address), 791 (the words of the header add up to ffff), 768.
talk 1
cp heard whole
heard_is 'whole[:24].hex() == "01005e4d00010200000000010800" + "4500005c000000000111"'
heard_is 'sum(int.from_bytes(whole[i:i+2], "big") for i in range(14, 34, 2)) % 0xffff == 0'
heard_is 'whole[26:46].hex() == "0a4d0001ef4d00011389138900480000" + b"TALK".hex()'

# A run without a fault hands on every frame, once, whole and in order.
talk 1000
heard_is "f == [made(i) for i in range(1000)]"

# 3 in 100 lost: the exact limits of the binomial law, one in a million
# outside on each side.
order lose W1 3 >/dev/null
talk 5000
heard_is "n == sorted(set(n)) and f == [made(i) for i in n]"
lost=$(of_count lost)
python3 -c '
from math import comb
from fractions import Fraction
import sys
n, lost, p = 5000, int(sys.argv[1]), Fraction(3, 100)
def at_most(k):
    return sum(comb(n, i) * 3**i * 97**(n - i) for i in range(k + 1)) / Fraction(100)**n
if min(at_most(lost), 1 - at_most(lost - 1)) < Fraction(1, 10**6):
    sys.exit("FAILED: %d of %d lost" % (lost, n))
' "$lost" || exit 1
heard_is "len(f) + $lost == 5000"

# Cut: nothing comes through; mended: all does.
order mend W1 >/dev/null
order cut W1 >/dev/null
talk 200
heard_is "f == []"
[ "$(of_count lost)" -eq $((lost + 200)) ] || fail "what was cut is not counted"
order mend W1 >/dev/null
talk 200
heard_is "f == [made(i) for i in range(200)]"

# Doubled: each frame twice, one behind the other.
order double W1 100 >/dev/null
talk 200
heard_is "f == [made(i // 2) for i in range(400)]"
[ "$(of_count doubled)" -eq 200 ] || fail "what was doubled is not counted"

# Altered: every frame comes, each changed in one bit behind its addresses.
order mend W1 >/dev/null
order corrupt W1 100 >/dev/null
talk 200
heard_is "[bits(f[i], made(i)) for i in range(len(f))] == 200 * [1]"
heard_is "all(f[i][:14] == whole[:14] for i in range(200))"
[ "$(of_count altered)" -eq 200 ] || fail "what was altered is not counted"

# Delayed by more than the script takes to look: later, in order, none lost.
order mend W1 >/dev/null
order delay W1 5000 >/dev/null
talk 100
heard_is "f == []"
sleep 5
heard_is "f == [made(i) for i in range(100)]"

# The link of an end shows where one looks for it.
# link_is LOWER_UP|NO-CARRIER
link_is() {
	tries=40
	until ip -n right -o link show a1 | grep -q "[<,]$1[,>]"; do
		tries=$((tries - 1))
		[ $tries -gt 0 ] || fail "the link of a1 is not $1"
		sleep 0.1
	done
}
link_is LOWER_UP
order carrier a1 off >/dev/null
link_is NO-CARRIER
order carrier a1 on >/dev/null
link_is LOWER_UP

# The panel ends with its orders.
exec 3>&-
wait $panel || fail "the panel ended with $?"
