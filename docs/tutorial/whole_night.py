"""A control program that gets through difficult nights: it goes to every target of a trial, and sends again what is lost.

    nightbench trial night.toml -- python3 whole_night.py {address}

It needs nothing but Python. Where the trial is stepped, it lets the night's time pass by the verb `clock`.
"""

import os
import socket
import sys
import time


class Refused(Exception):
    """The mount said no; nothing has changed."""

    def __init__(self, number, text):
        super().__init__(text)
        self.number = number


class Lost(Exception):
    """No good answer came, however often it was asked."""


def crc(data):
    """CRC-16/IBM-3740, as the line language has it."""
    value = 0xFFFF
    for byte in data:
        value ^= byte << 8
        for _ in range(8):
            value = (value << 1 ^ 0x1021 if value & 0x8000 else value << 1) & 0xFFFF
    return value


class Mount:
    def __init__(self, address, stepped, speed):
        self.address, self.stepped, self.speed = address, stepped, speed
        self.tag = 0
        self.socket = None
        self.kept = []
        self.connect()

    def connect(self):
        """Makes the connection, again and again if need be."""
        if self.socket:
            self.socket.close()
            time.sleep(0.05 if self.stepped else 1 / self.speed)
        host, port = self.address.rsplit(":", 1)
        for _ in range(100):
            try:
                self.socket = socket.create_connection((host, int(port)), timeout=5)
                self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                self.buffer, self.kept = b"", []
                self.wait(1)
                return
            except OSError:
                time.sleep(0.05)
        raise Lost("nobody answers at " + self.address)

    def wait(self, seconds):
        """Lets the night's time pass."""
        if not self.stepped:
            time.sleep(seconds / self.speed)
            return
        try:
            self.step(seconds)
        except OSError:
            pass  # the connection is made again by whoever asks next

    def step(self, seconds):
        """Moves the night's clock. No fault strikes that line; what comes before its reply is kept."""
        self.tag += 1
        tag = b"@%d" % self.tag
        self.socket.sendall(tag + b" clock by=%gs\n" % seconds)
        while True:
            line = self.line(time.monotonic() + 30)
            if line is None:
                raise ConnectionError("the bench is silent")
            if line.split(b" ")[1:2] == [tag]:
                return
            self.kept.append(line)

    def line(self, deadline):
        """The next line, or None when the time is up."""
        while b"\n" not in self.buffer:
            left = deadline - time.monotonic()
            if left <= 0:
                return None
            self.socket.settimeout(left)
            try:
                data = self.socket.recv(4096)
            except socket.timeout:
                return None
            if not data:
                raise ConnectionError("hung up")
            self.buffer += data
        line, self.buffer = self.buffer.split(b"\n", 1)
        return line

    def lines(self, patience):
        """Lines as they come, for so long of the night's time."""
        if not self.stepped:
            deadline = time.monotonic() + patience / self.speed + 0.05
            while (line := self.line(deadline)) is not None:
                yield line
            return
        for _ in range(patience):
            # Nothing comes by itself: what isn't there before the next second is there after it.
            self.step(1)
            kept, self.kept = self.kept, []
            yield from kept

    def exchange(self, text, patience):
        """Sends one line and waits for its reply so long; None if none came, or none that can be trusted."""
        self.tag += 1
        tag = f"@{self.tag}"
        body = f"{tag} {text}".encode("ascii")
        self.kept = []
        self.socket.sendall(body + b" check=%04X\n" % crc(body))
        for line in self.lines(patience):
            body, mark, check = line.rpartition(b" check=")
            if not mark or check != b"%04X" % crc(body):
                continue  # an event, or a damaged line
            word, found, rest = (body.decode("ascii", "replace") + "  ").split(" ", 2)
            if found != tag:
                continue  # a late reply to something earlier
            if word == "no":
                raise Refused(int(rest.split(" ")[0]), rest)
            return dict(pair.split("=", 1) for pair in rest.split(" ") if "=" in pair)
        return None

    def ask(self, text):
        """Asks until there is a good answer. To be used for what may be asked twice."""
        for number in range(60):
            # A slow line is not made quicker by asking more: each try waits longer.
            patience = 2 << min(number, 4)
            try:
                reply = self.exchange(text, patience)
                if reply is not None:
                    return reply
            except Refused as refused:
                if refused.number not in (20, 21):  # a damaged line, or a busy mount: both pass
                    raise
                self.wait(2)
            except OSError:
                self.connect()
        raise Lost(text)


def go(mount, request):
    """Goes to a target and waits until it tracks there; True if it does."""
    for _ in range(20):
        try:
            mount.ask("approach final=west-north")
            mount.ask(request)
        except Refused as refused:
            print("refused:", refused, file=sys.stderr)
            return False
        for _ in range(120):
            mount.wait(5)
            state = mount.ask("status")["state"]
            if state in ("tracking", "resting"):
                break
        if state == "tracking":
            mount.wait(5)
            return True
        # It was stopped on its way, or began anew: once more.
    return False


def main():
    clock = os.environ.get("NIGHTBENCH_CLOCK", "wall 1").split(" ")
    stepped = clock[0] == "stepped"
    mount = Mount(sys.argv[1], stepped, 1.0 if stepped else float(clock[1]))
    reached = True
    for target in os.environ["NIGHTBENCH_TARGETS"].splitlines():
        dwell, request = target.split(" ", 1)
        if go(mount, request):
            mount.wait(float(dwell.removesuffix("s")) + 5)
        else:
            reached = False
    mount.ask("stop")
    sys.exit(0 if reached else 1)


if __name__ == "__main__":
    main()
