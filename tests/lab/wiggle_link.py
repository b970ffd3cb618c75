"""The own lead under somebody's hands: a bell for each loss, in time. See
screen.py."""
import random
import socket
import struct
import time

from screen import Listen, plug_of, rest, run, terminals

RTMGRP_LINK, RTM_NEWLINK, IFF_RUNNING = 1, 16, 0x40


class Kernel:
    """When the kernel says that e0 has no link, by rtnetlink(7)."""

    def __init__(self):
        self.socket = socket.socket(socket.AF_NETLINK, socket.SOCK_RAW, 0)
        self.socket.bind((0, RTMGRP_LINK))
        self.index, self.had, self.losses = socket.if_nametoindex("e0"), True, []
        terminals.insert(0, self)

    def fileno(self):
        return self.socket.fileno()

    def take(self):
        now, octets = time.monotonic(), self.socket.recv(65536)
        while len(octets) >= 32:
            length, kind = struct.unpack_from("=IH", octets)
            index, flags = struct.unpack_from("=iI", octets, 20)
            if kind == RTM_NEWLINK and index == self.index:
                has = bool(flags & IFF_RUNNING)
                if self.had and not has:
                    self.losses.append(now)
                self.had = has
            octets = octets[(length + 3) & ~3:]


def own_link():
    """The bell rings within 0.2 s of the kernel's word, which comes at most
    once a second."""
    kernel, chance = Kernel(), random.Random(7)
    listen = Listen("link", "--wiggle", "link")
    listen.until("it is heard", lambda r: any("Never lost." in row for row in r))
    for pull in range(10):
        rest(1.2 + chance.random() * 0.6)
        plug_of("laptop", "down")
        rest(1.3)
        plug_of("laptop", "up")
    listen.until("ten losses", lambda r: any("Lost 10 times" in row for row in r))
    rest(1)
    late = [bell - loss for bell, loss in zip(listen.bells, kernel.losses)]
    told = ", ".join("%.0f" % (1000 * x) for x in late)
    if len(listen.bells) != 10 or len(kernel.losses) != 10:
        listen.fail("%d bells for %d losses" % (len(listen.bells), len(kernel.losses)))
    if not all(-0.05 < x < 0.2 for x in late):
        listen.fail("bells came so many ms late: " + told)
    listen.press("q")
    if listen.end() > 1:
        listen.fail("it did not end well")
    listen.journal()
    print("ten losses, ten bells, so many ms after the kernel's word: " + told)


run(own_link)
