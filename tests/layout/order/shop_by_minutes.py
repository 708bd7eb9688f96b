"""An independent simulation of the shop: slow and obvious, one minute after the other, whole minutes only.

It knows the rules of the shop as sentences, shares no code with the schedule, and keeps no calendar ahead but the mold
maker's appointments, which it makes by the same walk through the minutes.
"""

DAY = 1440


def works(minute, bench, days_off):
    """Whether hands are in the shop in this minute: days off are numbered within the week of the first day."""
    return minute % DAY < bench and minute // DAY % 7 not in days_off


def mold_making(jobs, bench, days_off):
    """Return {minute: True} of the mold maker's hands, {mold: minute it is ready}, and the total of hands."""
    busy, ready, minute, hands = set(), {}, 0, 0
    for need, wait, mold in jobs:
        left = need
        if need > bench:  # goes on next day
            while left:
                if works(minute, bench, days_off):
                    busy.add(minute)
                    left -= 1
                minute += 1
        elif need:
            while minute % DAY + need > bench or not works(minute, bench, days_off):
                minute += 1
            for _ in range(need):
                busy.add(minute)
                minute += 1
        hands += need
        minute += wait
        if mold is not None:
            ready[mold] = minute
    return busy, ready, hands


def dealt(deal, used, operators, per_operator):
    """Return who has which molds: a list of molds for each operator."""
    hands = [[] for _ in range(operators)]
    if deal == "to the last first":
        for mold in range(used):
            for molds in reversed(hands):
                if len(molds) < per_operator:
                    molds.append(mold)
                    break
        return hands
    turn = 0 if deal == "in turn" else 1
    for mold in range(used):
        hands[turn % operators].append(mold)
        turn += 1
    return hands


class Mold:
    def __init__(self, number, place, since):
        self.number, self.place, self.since = number, place, since
        self.state = "empty"  # empty, in hand, curing, full
        self.casts, self.day, self.today = 0, None, 0


class Walk:
    """One order, walked through."""

    def __init__(
        self, casts, cast_min, cure_min, demold_min, trim_min, bench, operators, per_operator, molds, life, cap, jobs,
        deal="in turn", days_off=(),
    ):  # fmt: skip
        self.casts, self.left, self.out, self.pile, self.minute = casts, casts, 0, 0, 0
        self.cast_min, self.cure_min, self.demold_min, self.trim_min = cast_min, cure_min, demold_min, trim_min
        self.bench, self.life, self.cap = bench, life, cap
        self.days_off = days_off
        self.booked, self.ready, self.hands = mold_making(jobs, bench, days_off)
        self.last = max(self.booked, default=-1) + 1
        self.doing = [None] * operators  # [what, mold, minutes left]
        self.log = []
        used = min(molds, operators * per_operator)
        self.molds = [
            [Mold(j, place, self.ready.get(j, 0)) for place, j in enumerate(molds_of)]
            for molds_of in dealt(deal, used, operators, per_operator)
        ]
        self.shelf = list(range(used, molds))

    def end_what_is_done(self, who):
        if not self.doing[who] or self.doing[who][2] > 0:
            return
        what, mold, _ = self.doing[who]
        self.doing[who] = None
        if what == "cast":
            mold.state, mold.since = "curing", self.minute + self.cure_min
            return
        self.out += 1
        self.pile += self.trim_min
        mold.state, mold.since = "empty", self.minute
        if mold.casts == self.life:
            self.molds[who].remove(mold)
            if self.shelf:
                number = self.shelf.pop(0)
                self.molds[who].append(Mold(number, mold.place, max(self.minute, self.ready.get(number, 0))))
        elif self.cap and mold.today == self.cap:
            mold.since = max(self.minute, (mold.day + 1) * DAY)

    def fits(self, who, need):
        if self.minute % DAY + need > self.bench or not works(self.minute, self.bench, self.days_off):
            return False
        return who > 0 or not any(m in self.booked for m in range(self.minute, self.minute + need))

    def start_something(self, who):
        if self.doing[who]:
            return
        here = self.molds[who]
        for mold in here:
            if mold.state == "curing" and mold.since <= self.minute:
                mold.state = "full"
        full = [m for m in here if m.state == "full"]
        empty = [m for m in here if m.state == "empty" and m.since <= self.minute]
        if full and self.fits(who, self.demold_min):
            mold, what, need = min(full, key=lambda m: (m.since, m.place)), "demold", self.demold_min
        elif empty and self.left and self.fits(who, self.cast_min):
            mold, what, need = min(empty, key=lambda m: m.place), "cast", self.cast_min
            self.left -= 1
            mold.casts += 1
            mold.today = mold.today + 1 if mold.day == self.minute // DAY else 1
            mold.day = self.minute // DAY
        else:
            return
        mold.state = "in hand"
        self.doing[who] = [what, mold, need]
        self.log.append((self.minute, who, what, mold.number))

    def work_a_minute(self, who):
        if self.doing[who]:
            self.doing[who][2] -= 1
        elif self.pile > 0 and self.fits(who, 1):
            self.pile -= 1
        else:
            return
        self.hands += 1
        self.last = max(self.last, self.minute + 1)

    def walk(self):
        crew = range(len(self.doing))
        while self.out < self.casts or self.pile > 0:
            if not works(self.minute, self.bench, self.days_off) and not any(self.doing):
                self.minute += 1  # nobody is in: nothing begins, and what cures shows its age in the morning
                continue
            for step in (self.end_what_is_done, self.start_something, self.work_a_minute):
                for who in crew:
                    step(who)
            self.minute += 1
        return self.last, self.hands, self.log


def run(*order, **more):
    """Return (minute of the last hand, minutes of hands, log of (minute, operator, what, mold))."""
    return Walk(*order, **more).walk()
