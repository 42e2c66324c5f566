"""Free times against a search that puts the visit everywhere and drives every round again."""

from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.check import count_cost, drive_round
from drainservice.engine.rounds.facts import DAY_S, UNIT, Plan, Round, Window
from drainservice.engine.rounds.insert import added_drive_s, candidate_of, fits_in, room_at
from drainservice.engine.rounds.offers.arrays import make_arrays, room_of, try_all, where_fits
from drainservice.engine.rounds.offers.facts import Half, OfferQuestion, OfferTerms, Wish
from drainservice.engine.rounds.offers.find import find_offers, tables_of_present
from drainservice.engine.rounds.offers.rules import OfferImpossible
from drainservice.engine.rounds.tables import make_tables
from tests.engine.rounds.small_rounds import draw_days, with_gate

few = settings(max_examples=80, deadline=None)
seeds = st.integers(0, 10**9)
ALL = 10**6


def ask(inputs, seed=0):
    """A drawn question about the last stop of these inputs."""
    random = Random(seed)
    days = sorted({shift.day for shift in inputs.shifts})
    wishes = (
        Wish(True, frozenset({random.randrange(7)}), random.choice([None, *Half])),
        Wish(False, None, random.choice(list(Half))),
    )
    places = range(2, len(inputs.drives) - 1)
    return OfferQuestion(
        inputs,
        candidate_of(inputs, len(inputs.stops) - 1),
        tables_of_present(inputs),
        terms=OfferTerms(reserve_percent=random.choice([15, 60, 90])),
        first_weekday=random.randrange(7),
        waiting={day: random.randint(0, 50) for day in days} if random.random() < 0.5 else {},
        minute_price={0: random.random(), 1: 0.5},
        wishes=random.choice([(), wishes]),
        nearby=tuple(random.sample(places, min(3, len(places)))),
        due_day=random.choice([None, 5]),
    )


def answer(question, arrays=None):
    """Every offer there is; empty where none can be."""
    try:
        return find_offers(question, arrays, best_count=ALL, more_count=ALL)
    except OfferImpossible:
        return None


def grid(stop, shift, terms):
    """The windows that may be promised, hour by hour of the whole day."""
    return [
        window
        for at_s in range(shift.day * DAY_S, (shift.day + 1) * DAY_S, terms.step_s)
        for window in [Window(at_s, at_s + terms.window_s)]
        if shift.starts_s <= window.from_s
        and window.to_s <= shift.ends_s
        and any(w.from_s <= window.from_s and window.to_s <= w.to_s for w in stop.windows)
    ]


def offers_by_force(question):
    """(price, day, technician, window) of the cheapest place of each round and window."""
    inputs, found = question.inputs, {}
    number = len(inputs.stops) - 1
    stop, terms = inputs.stops[number], question.terms
    rounds = {one.shift: one for one in inputs.present}
    for index, shift in enumerate(inputs.shifts):
        if stop.only is not None and shift.technician not in stop.only:
            continue
        round_ = rounds.get(index, Round(index))
        for window in grid(stop, shift, terms):
            for before in range(len(round_.gates) + 1):
                price = price_by_force(question, round_, before, window)
                key = (index, window)
                if price is not None and (key not in found or price < found[key][0]):
                    found[key] = (price, shift.day, shift.technician, window)
    return sorted(found.values())


def price_by_force(question, round_, before, window):
    """What the visit costs there, from rounds driven anew and from the text of the rule."""
    inputs, terms = question.inputs, question.terms
    number, shift = len(inputs.stops) - 1, inputs.shifts[round_.shift]
    narrow = Window(window.from_s, window.to_s - terms.margin_s)
    stop = replace(inputs.stops[number], windows=(narrow,))
    with_it = replace(inputs, stops=(*inputs.stops[:-1], stop))
    new = with_gate(round_, before, number)
    driven = drive_round(with_it, new)
    if driven is None:
        return None
    was, now = count_cost(inputs, Plan((round_,))), count_cost(with_it, Plan((new,)))
    price = now.total - was.total
    if question.waiting:
        price += UNIT * (question.waiting[shift.day] - min(question.waiting.values()))
    week = (question.first_weekday + shift.day) // 7
    price += round(question.minute_price.get(week, 0) * stop.work_s)
    price += wishes_by_force(question, shift.day, window)
    price += tight_by_force(with_it, new, driven, number)
    booked = paid = 0
    for index, other in enumerate(inputs.shifts):
        if other.day == shift.day:
            paid += other.ends_s - other.starts_s - (other.pause.length_s if other.pause else 0)
            one = next((r for r in inputs.present if r.shift == index), Round(index))
            one = new if index == round_.shift else one
            booked += sum(with_it.stops[gate.stop].work_s for gate in one.gates)
            booked += count_cost(with_it, Plan((one,))).driving if one.gates else 0
    # 10 units for each 5 % beyond what is not kept free (85 %): 200 units for a whole day.
    over = 100 * booked - (100 - terms.reserve_percent) * paid
    price += max(0, (UNIT * 200 * over) // (100 * max(1, paid)))
    ways = [
        shift.leaves_from,
        *(inputs.stops[g.stop].place for g in round_.gates),
        shift.returns_to,
    ]
    nearer_s = sum(
        max(0, min(inputs.drives[at][other] for at in ways) - inputs.drives[stop.place][other])
        for other in question.nearby
    )
    # 0.3 units a minute: 3 sixtieths for 10 s; 20 units at most.
    return price - min(20 * UNIT, 3 * nearer_s // 10)


def wishes_by_force(question, day, window):
    weekday, half = (question.first_weekday + day) % 7, Half.MORNING
    if window.from_s % DAY_S >= DAY_S // 2:
        half = Half.AFTERNOON
    price = 0
    for is_liked, units in ((True, -20), (False, 40)):
        if any(
            wish.is_liked == is_liked
            and (wish.weekdays is None or weekday in wish.weekdays)
            and (wish.half is None or wish.half == half)
            for wish in question.wishes
        ):
            price += UNIT * units
    return price


def tight_by_force(inputs, round_, driven, number):
    """30 min less the least slack of a promised gate, found by trying: the start slips by minutes
    of its own accord until the round breaks, to the second by halving."""
    least = 1800
    for at, gate in enumerate(round_.gates):
        stop = inputs.stops[gate.stop]
        if gate.stop == number or not stop.must:
            continue
        low, high = 0, 1801
        while high - low > 1:
            middle = (low + high) // 2
            if slips_by(inputs, round_, driven, at, middle):
                low = middle
            else:
                high = middle
        least = min(least, low)
    return 1800 - least


def slips_by(inputs, round_, driven, at, late_s):
    """Whether the rest of the round can be driven when this gate starts late."""
    shift, gate = inputs.shifts[round_.shift], round_.gates[at]
    stop = inputs.stops[gate.stop]
    starts_s = driven.starts_s[at] + late_s
    if starts_s > stop.windows[0].to_s:
        return False
    is_rested = driven.break_before is None or driven.break_before <= at
    rest = replace(
        shift,
        starts_s=starts_s + stop.work_s,
        leaves_from=stop.place,
        pause=None if is_rested else shift.pause,
    )
    return (
        drive_round(replace(inputs, shifts=(rest,)), Round(0, round_.gates[at + 1 :])) is not None
    )


@few
@given(seeds)
def test_offers_equal_a_search_by_brute_force(seed):
    question = ask(draw_days(seed), seed)
    found, forced = answer(question), offers_by_force(question)
    if found is None:
        assert forced == []
        return

    # Windows the shift leaves too narrow for the grid are offered beside it; see the other tests.
    whole = [one for one in found.best if one.window.to_s - one.window.from_s == 7200]
    assert [(one.price, one.day, one.technician, one.window) for one in whole] == forced


@few
@given(seeds)
def test_arrays_say_what_the_loop_says(seed):
    inputs = draw_days(seed)
    question = ask(inputs, seed)

    arrays = make_arrays(question.tables)

    assert answer(question, arrays) == answer(question)


@few
@given(seeds, st.integers(0, DAY_S), st.integers(0, 3 * 3600))
def test_arrays_know_the_room_of_each_place(seed, from_s, length_s):
    inputs = draw_days(seed)
    tables = tables_of_present(inputs)
    candidate = candidate_of(inputs, len(inputs.stops) - 1)
    arrays = make_arrays(tables)
    bounds = (arrays.before * 0 + from_s, arrays.before * 0 + from_s + length_s)

    tried = try_all(arrays, candidate)
    fits = where_fits(tried, *bounds)

    row = 0
    for one in tables:
        for before in range(len(one.gates) + 1):
            way_in_s = candidate.ways_in_s[one.places[before]]
            way_on_s = candidate.ways_on_s[one.places[before + 1]]
            room = room_at(one, before, way_in_s, way_on_s, candidate.stop.work_s)
            assert room_of(tried, row) == room
            assert tried.added_drive_s[row] == added_drive_s(one, before, candidate)
            assert fits[row] == fits_in(room, from_s, from_s + length_s)
            row += 1
    assert row == len(arrays.before)


@few
@given(seeds)
def test_offers_are_sorted_and_the_three_lie_in_different_half_days(seed):
    found = answer(ask(draw_days(seed), seed))
    if found is None:
        return

    ranks = [(one.price, one.day, one.technician) for one in found.best]
    assert ranks == sorted(ranks)
    half_days = [(one.day, one.half) for one in found.three]
    assert len(set(half_days)) == len(half_days) <= 3
    assert found.three[:1] == found.best[:1]


def nearness(offer, chosen):
    """40 same half-day, 20 same day, 10 same weekday and half."""
    most = 0
    for other in chosen:
        if (other.day, other.half) == (offer.day, offer.half):
            most = max(most, 40)
        elif other.day == offer.day:
            most = max(most, 20)
        elif (other.weekday, other.half) == (offer.weekday, offer.half):
            most = max(most, 10)
    return most * UNIT


@few
@given(seeds)
def test_each_further_time_is_the_best_of_those_unlike_the_chosen(seed):
    found = answer(ask(draw_days(seed, days=9, technicians=1, most=2), seed))
    if found is None:
        return

    chosen = []
    for number in range(len(found.three)):
        used = {(one.day, one.half) for one in chosen}
        left = [one for one in found.best if (one.day, one.half) not in used]
        wished = [one for one in left if one.meets_wish]
        if number == 2 and wished and not any(one.meets_wish for one in chosen):
            left = wished
        chosen.append(min(left, key=lambda one: (one.price + nearness(one, chosen), *one.rank[1:])))
    assert tuple(chosen) == found.three
    half_days = {(one.day, one.half) for one in found.best}
    assert len(found.three) == min(3, len(half_days))
    can = any(one.meets_wish for one in found.best)
    assert not can or len(chosen) < 3 or any(one.meets_wish for one in chosen)


@few
@given(seeds)
def test_more_times_go_on_without_telling_a_window_twice(seed):
    found = answer(ask(draw_days(seed), seed))
    if found is None:
        return

    told = [(one.day, one.window) for one in (*found.three, *found.more)]

    assert len(told) == len(set(told))
    assert set(told) == {(one.day, one.window) for one in found.best}


@few
@given(seeds)
def test_an_offer_put_into_its_round_can_be_driven(seed):
    inputs = draw_days(seed)
    found = answer(ask(inputs, seed))
    rounds = {one.shift: one for one in inputs.present}

    for offer in () if found is None else found.best:
        number = len(inputs.stops) - 1
        stop = replace(inputs.stops[number], windows=(offer.window,))
        with_it = replace(inputs, stops=(*inputs.stops[:-1], stop))
        round_ = with_gate(rounds.get(offer.shift, Round(offer.shift)), offer.before, number)
        assert drive_round(with_it, round_) is not None
        assert offer.window.from_s <= offer.starts_s <= offer.window.to_s
        if offer.window.to_s - offer.window.from_s == 7200:
            assert offer.starts_s <= offer.window.to_s - 1200


@few
@given(seeds)
def test_one_more_technician_never_worsens_the_best(seed):
    # Without the reserve and the nearness to others the price of a place stands for itself.
    inputs = draw_days(seed)
    question = replace(ask(inputs, seed), terms=OfferTerms(per_five_percent=0))
    more = replace(
        question,
        tables=(
            *question.tables,
            *(
                make_tables(replace(inputs, shifts=(replace(shift, technician=9),)), Round(0))
                for shift in inputs.shifts
            ),
        ),
    )
    before, after = answer(question), answer(more)

    if before is not None and before.best:
        assert after.best[0].price <= before.best[0].price


@few
@given(seeds)
def test_one_more_window_never_worsens_the_best(seed):
    inputs = draw_days(seed)
    question = ask(inputs, seed)
    stop = question.candidate.stop
    other = Window(7 * 3600 + DAY_S, 19 * 3600 + DAY_S)
    wider = replace(stop, windows=(*stop.windows, other))
    more = replace(question, candidate=replace(question.candidate, stop=wider))
    before, after = answer(question), answer(more)

    if before is not None and before.best:
        assert after.best[0].price <= before.best[0].price


@few
@given(seeds)
def test_doubling_all_units_doubles_every_price(seed):
    # Driving is the measure itself; all the rest doubles.
    inputs = draw_days(seed)
    tariff = inputs.tariff
    stop = inputs.stops[-1]
    twice = replace(
        inputs,
        tariff=replace(
            tariff,
            overtime=2 * tariff.overtime,
            not_usual=2 * tariff.not_usual,
            disliked=2 * tariff.disliked,
            preferred=2 * tariff.preferred,
        ),
        stops=(
            *inputs.stops[:-1],
            replace(stop, apart=tuple((who, 2 * units) for who, units in stop.apart)),
        ),
    )
    question = replace(ask(inputs, seed), nearby=())
    doubled = replace(
        replace(ask(twice, seed), nearby=()),
        terms=replace(question.terms, per_five_percent=20),
        waiting={day: 2 * units for day, units in question.waiting.items()},
        minute_price={week: 2 * price for week, price in question.minute_price.items()},
    )
    once, again = answer(question), answer(doubled)
    if once is None:
        assert again is None
        return

    def prices(offers):
        return {(one.shift, one.window, one.before): one.parts for one in offers.best}

    both = prices(once).keys() & prices(again).keys()
    for key in both:
        first, second = prices(once)[key], prices(again)[key]
        rest = first.total - first.driving - first.tight
        # Rounding of the week and of the reserve to sixtieths: one each.
        assert abs(second.total - second.driving - second.tight - 2 * rest) <= 2
