"""read_back.py -- a third party's reading of what the simulator wrote.

    python3 read_back.py FRAMES TRUTH

Reads the capture with scapy, works out every checksum anew, names each
frame's protocol, sender and address, and compares them with the truth. Exit 0
they agree, 1 they do not, 77 scapy is not installed.
"""
import json
import sys
from collections import Counter, defaultdict

try:
    from scapy.all import (ARP, BOOTP, DHCP, DNS, IP, IPv6, STP, UDP, Ether,
                           Dot3, Raw, rdpcap)
    from scapy.contrib.igmpv3 import IGMPv3, IGMPv3mr
    from scapy.contrib.lldp import LLDPDU
    from scapy.layers.inet6 import (ICMPv6MLReport2, ICMPv6ND_NS, ICMPv6ND_RS)
except ImportError as missing:
    print("SKIPPED:", missing)
    sys.exit(77)

PORTS = {5353: ("mdns", DNS), 1900: ("ssdp", Raw), 67: ("dhcp", DHCP),
         68: ("dhcp", DHCP)}


def protocol(frame):
    """Name as the truth uses it; a frame whose inside scapy does not know by
    the layer it must have is "unread"."""
    if ARP in frame:
        return "arp"
    if LLDPDU in frame or frame.__dict__.get("type") == 0x88CC:
        return "lldp"
    if STP in frame:
        return "stp"
    if IPv6 in frame:
        known = (ICMPv6MLReport2, ICMPv6ND_NS, ICMPv6ND_RS)
        return "icmp6" if any(k in frame for k in known) else "unread"
    if IP in frame and frame[IP].proto == 2:
        return "igmp" if IGMPv3mr in frame or IGMPv3 in frame else "unread"
    if UDP in frame:
        name, layer = PORTS.get(frame[UDP].dport, ("stream", Raw))
        return name if layer in frame else "unread"
    return "unread"


def built_anew(frame):
    """The same frame with its lengths and sums left for scapy to fill in."""
    copy = frame.copy()
    for layer, fields in ((IP, ("chksum", "len")), (UDP, ("chksum", "len")),
                          (IGMPv3, ("chksum",)), (IPv6, ("plen",)),
                          (ICMPv6MLReport2, ("cksum",)),
                          (ICMPv6ND_NS, ("cksum",)),
                          (ICMPv6ND_RS, ("cksum",))):
        if layer in copy:
            for field in fields:
                copy[layer].delfieldval(field)
    return bytes(copy)


def address(frame):
    """The IPv4 address it is sent from; None: it has none, or not yet (RFC
    5227 section 1.1, RFC 1122 section 3.2.1.3: all zeros)."""
    told = frame[ARP].psrc if ARP in frame else \
        frame[IP].src if IP in frame else "0.0.0.0"
    return told if told != "0.0.0.0" else None


def strange_addresses(truth, spoken):
    """Each node speaks from its own address. One that takes another's has
    both, and the other is a node's."""
    takers = {c["part"] for c in truth["causes"] if c["mode"] == "takes"}
    all_own = {node["address"] for node in truth["nodes"]}
    for node in truth["nodes"]:
        name, own, heard = node["name"], node["address"], spoken[node["mac"]]
        allowed = all_own if name in takers else {own}
        if heard and (own not in heard or heard - allowed or
                      (name in takers and heard == {own})):
            yield f"{name}: the truth says {own}, not {sorted(heard)}"


def main(frames, truth):
    truth = json.load(open(truth, encoding="utf-8"))
    wrong = []
    protocols, senders, spoken = Counter(), Counter(), defaultdict(set)
    for number, frame in enumerate(rdpcap(frames), 1):
        protocols[protocol(frame)] += 1
        senders[frame.src] += 1
        spoken[frame.src] |= {address(frame)} - {None}
        whole = len(frame) == frame.wirelen
        if whole and not (ARP in frame) and built_anew(frame) != bytes(frame):
            wrong.append(f"frame {number}: a sum or length differs")
        if frame.wirelen < 60:
            wrong.append(f"frame {number}: {frame.wirelen} octets")
    for name, count in truth["protocols"].items():
        if protocols.pop(name, 0) != count:
            wrong.append(f"{name}: the truth says {count}")
    if protocols:
        wrong.append(f"not in the truth: {dict(protocols)}")
    for node in truth["nodes"]:
        if senders.pop(node["mac"], 0) != node["frames"]:
            wrong.append(f"{node['name']}: the truth says {node['frames']}")
    if senders:
        wrong.append(f"unknown senders: {dict(senders)}")
    wrong += strange_addresses(truth, spoken)
    print("\n".join(wrong[:20]) or f"{truth['frames']} frames agree")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
