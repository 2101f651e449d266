"""Lists every change of offset or short name in every time zone from 1990 to 2037, by Python's zoneinfo.

    python3 list_zone_changes.py            from the machine's own zone files
    python3 list_zone_changes.py --package  from the package tzdata (for fixtures/reference/zone_changes.csv)
    python3 list_zone_changes.py --weekly   looks once a week and gives the first look that differs: seconds, not minutes

One line per history: names of the zones that share it (blanks between), offset and short name at the begin of 1990, then
the changes, semicolons between: seconds since 1970-01-01T00:00:00Z, offset in seconds, short name. Nothing is read but what
zoneinfo answers: the changes are found by asking it, not by parsing its files.
"""

import datetime
import sys
import zoneinfo

UTC = datetime.timezone.utc
BEGIN = int(datetime.datetime(1990, 1, 1, tzinfo=UTC).timestamp())
END = int(datetime.datetime(2038, 1, 1, tzinfo=UTC).timestamp())
HALF_DAY = 12 * 3600  # no zone changed twice within half a day in these years
WEEK = 7 * 86400
# Not zones of people: what the machine happens to be set to, and files for tests and for old conventions.
LEFT_OUT = ("posix/", "right/", "localtime", "posixrules", "Factory", "SystemV/")


def state(zone, second):
    here = datetime.datetime.fromtimestamp(second, zone)
    return int(here.utcoffset().total_seconds()), here.tzname()


def changes(zone, step, exact):
    before = state(zone, BEGIN)
    texts = [f"{before[0]} {before[1]}"]
    for second in range(BEGIN + step, END + 1, step):
        now = state(zone, second)
        if now != before:
            low, high = second - step, second
            while exact and high - low > 1:
                middle = (low + high) // 2
                if state(zone, middle) == before:
                    low = middle
                else:
                    high = middle
            texts.append(f"{high} {now[0]} {now[1]}")
            before = now
    return ";".join(texts)


def main():
    if "--package" in sys.argv[1:]:
        zoneinfo.reset_tzpath(to=())
    weekly = "--weekly" in sys.argv[1:]
    histories = {}
    for name in sorted(zoneinfo.available_timezones()):
        if name.startswith(LEFT_OUT):
            continue
        history = changes(zoneinfo.ZoneInfo(name), WEEK if weekly else HALF_DAY, exact=not weekly)
        histories.setdefault(history, []).append(name)
    print("zones,history")
    for history, names in sorted(histories.items(), key=lambda item: item[1]):
        print(f"{' '.join(names)},{history}")


if __name__ == "__main__":
    main()
