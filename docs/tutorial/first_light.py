"""A whole control program for a mount on a serial port: take the controls, point, look, centre, watch, stop.

    nightbench serve --pty ./mount --speed 20
    python first_light.py ./mount
"""

import sys
import time

import serial  # the package is called pyserial


class Refused(Exception):
    """The mount said no; nothing has changed."""

    def __init__(self, number, text):
        super().__init__(text)
        self.number = number


class Mount:
    def __init__(self, path):
        self.port = serial.Serial(path, 9600, timeout=5)
        self.events = []
        self.tag = 0

    def line(self):
        """The next line, or an error after five seconds of silence."""
        line = self.port.readline()
        if not line.endswith(b"\n"):
            raise TimeoutError("the mount is silent")
        return line.decode("ascii").rstrip("\n")

    def request(self, text):
        """Sends one request and waits for its reply; events that come between are kept."""
        self.tag += 1
        self.port.write(f"@{self.tag} {text}\n".encode("ascii"))
        while True:
            line = self.line()
            if line.startswith("* "):
                self.events.append(line)
                continue
            word, tag, *rest = line.split(" ", 2)
            if tag != f"@{self.tag}":
                continue  # a late reply to something earlier
            rest = rest[0] if rest else ""
            if word == "no":
                raise Refused(int(rest.split(" ")[0]), rest)
            # Enough for the values that are used below; a value in quotes may have blanks.
            return dict(pair.split("=", 1) for pair in rest.split(" ") if "=" in pair)

    def finish(self, text, seconds):
        """Begins a job and waits for the event that ends it."""
        job = self.request(text)["job"]
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            for event in self.events:
                if f"job={job}" in event.split(" "):
                    return event
            try:
                line = self.line()
            except TimeoutError:
                continue
            if line.startswith("* "):
                self.events.append(line)
        raise TimeoutError(f"job {job} did not end")


def degrees(value):
    return float(value.removesuffix("deg"))


def evening(mount):
    print("connected to a", mount.request("identify")["kind"])

    # Others may look on and stop, but not steer.
    mount.request("controls action=take")

    # A refusal is an answer like any other: it has a number for programs and a sentence for people.
    try:
        mount.request("goto name=Regulsu")
    except Refused as refused:
        print("refused:", refused)

    ended = mount.finish("goto name=Regulus", 180)
    if not ended.startswith("* arrived "):
        raise RuntimeError(f"the mount did not arrive: {ended}")
    pointing = mount.request("status group=pointing")
    print(f"arrived; it believes to point at ra={pointing['ra']} dec={pointing['dec']}")

    # The star stands a little east of the middle: centre it as a hand would.
    mount.request("nudge direction=east rate=20x for=2s")
    while mount.request("status")["state"] != "tracking":
        time.sleep(0.1)
    before = degrees(mount.request("axes")["hour_dial"])
    time.sleep(1)
    after = degrees(mount.request("axes")["hour_dial"])
    print("it tracks: the hour axis turned", "westward" if after > before else "not at all")

    mount.request("stop")
    mount.request("controls action=release")
    print("stopped")


if __name__ == "__main__":
    evening(Mount(sys.argv[1]))
