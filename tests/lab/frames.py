"""Each frame that comes in at a port, a line in hexadecimal; first a line
"listening". What this side sends itself is left out."""
import socket
import sys

ETH_P_ALL = 3
ear = socket.socket(socket.AF_PACKET, socket.SOCK_RAW, socket.htons(ETH_P_ALL))
ear.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 8 << 20)
ear.bind((sys.argv[1], ETH_P_ALL))
print("listening", flush=True)
while True:
    try:
        octets, whence = ear.recvfrom(2048)
    except OSError:
        continue    # the port went down for a while
    if whence[2] != socket.PACKET_OUTGOING:
        print(octets.hex(), flush=True)
