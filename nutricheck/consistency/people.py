"""Persons and days whose own figures contradict each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from nutricheck.consistency.bounds import is_outside, span_words
from nutricheck.errors import Question
from nutricheck.facts.constants import value
from nutricheck.needs.energy import resting_energy
from nutricheck.needs.energy_availability import body_mass_index
from nutricheck.needs.sweat import sweat_test_rate, vapour_pressure
from nutricheck.plan.models import trip_length
from nutricheck.units import alike, as_written, convert

if TYPE_CHECKING:
    from nutricheck.plan.models import DayType, Person

__all__ = ["day_questions", "person_questions"]

_ADULT_YEARS = 18


def person_questions(person: Person) -> Iterator[Question]:
    """What of a person's own figures does not go together."""
    doubts = (*_body(person), *_life_stage(person))
    yield from (Question("Person", message, ("person", field)) for message, field in doubts)


#: What to ask, and the field it is about.
_Doubts = Iterator[tuple[str, str]]


def _body(person: Person) -> _Doubts:
    mass = as_written(person.mass_kg, "kilogram")
    height = as_written(person.height_cm, "centimeter")
    index = body_mass_index(person)
    is_adult = person.age_years >= _ADULT_YEARS
    found = f"{mass} and {height} make a body mass index of {index:.0f}"
    if is_outside("body_mass_index", index):
        yield f"{found}, but people have {span_words('body_mass_index')}. {_UNITS}", "mass"
    elif is_adult and index > value("body_mass_index_as_pounds"):
        pounds_kg = convert(float(person.mass_kg), "lb", "kilogram")
        yield (
            f"{found}. Is the mass in pounds? Then write lb (that is {pounds_kg:.0f} kg). If "
            "not, all is well",
            "mass",
        )
    elif is_adult and is_outside("adult_height", person.height_cm):
        usual = span_words("adult_height", "centimeter", person.height_cm)
        yield f"a height of {height} is rare in adults; most have {usual}. Is it right?", "height"


_UNITS = "Are the numbers and their units right?"


def _life_stage(person: Person) -> _Doubts:
    """A menopause that is early for the age; other life stages are judged with the references."""
    age, rare = person.age_years, value("menopause_age_low")
    if person.postmenopausal and person.sex == "female" and age < rare:
        found = f"postmenopausal is set at {age} years, which is rare before {rare:g}"
        yield f"{found}. Is it right? It lowers the aim for iron", "postmenopausal"


# ---------------------------------------------------------------- days


def day_questions(person: Person, days: Sequence[DayType]) -> Iterator[Question]:
    """What of the days' own figures does not go together, or not with the person."""
    for number, day in enumerate(days):
        doubts = (*_walk(person, day), *_energy(person, day), *_air(day), *_water(person, day))
        for message, field in doubts:
            yield Question(f"Day {day.name}", message, ("days", number, field))
    total = trip_length(days, "longest")
    if total > value("trip_days_high"):
        found = f"the longest trip has {total} days without a shop. Are the counts right?"
        yield Question("Trip", found, ("days",))
    yield from (Question("Trip", message, ("days",)) for message in _across_days(days))


def _across_days(days: Sequence[DayType]) -> Iterator[str]:
    """What the kinds of day of one trip say against each other."""
    airs = sorted(
        (day.air_temperature_c, day.name) for day in days if day.air_temperature_c is not None
    )
    if airs and airs[-1][0] - airs[0][0] > value("air_temperature_span_high"):
        cold, hot = (f"{as_written(air, 'degC')} on {name}" for air, name in (airs[0], airs[-1]))
        yield f"the air has {cold}, but {hot}. Are both in the right unit?"
    damp = sorted((day.humidity_percent, day.name) for day in days if day.humidity_percent)
    if damp and damp[-1][0] > value("air_humidity_ratio_high") * damp[0][0]:
        dry, wet = (
            f"{as_written(share, 'percent')} on {name}" for share, name in (damp[0], damp[-1])
        )
        yield f"the humidity is {dry}, but {wet}. Is the decimal point right in both?"
    higher_m = sum(day.count * (day.climb_m - day.descent_m) for day in days)
    if abs(higher_m) > value("trip_rise_high"):
        first = next(metres for day in days for metres in (day.climb_m, day.descent_m) if metres)
        yield (
            "with these climbs and descents the longest trip ends "
            f"{alike(abs(higher_m), 'meter', first)} {'higher' if higher_m > 0 else 'lower'} "
            "than it starts. Are they all right?"
        )


def _walk(person: Person, day: DayType) -> _Doubts:
    """Pace, hours, pack and climb against what walkers do."""
    pace, moving, pack = (
        as_written(day.pace_m_s, "meter_per_second"),
        as_written(day.moving_h, "hour"),
        as_written(day.pack_kg, "kilogram"),
    )
    if day.pace_m_s and day.pace_m_s < value("walking_pace_low"):
        yield f"a pace of {pace} is hardly walking. Are the number and the unit right?", "pace"
    if day.moving_h and is_outside("moving_time", day.moving_h):
        usual = span_words("moving_time", "hour", day.moving_h)
        yield f"you walk for {moving}, but {usual} is usual. Is the unit right?", "moving"
    if not day.moving_h and (day.climb_m or day.descent_m):
        yield f"moving is {moving}, but the day has climb or descent. Is moving right?", "moving"
    share = day.pack_kg / person.mass_kg
    if day.pack_kg and day.pack_kg < value("pack_mass_low"):
        yield f"{pack} is hardly a pack. Is the unit right?", "pack"
    if share > value("pack_share_high"):
        yield f"a pack of {pack} is {100 * share:.0f} % of your body mass. {_UNITS}", "pack"
    most_m = value("climb_rate_high") * day.moving_h
    for height_m, word in ((day.climb_m, "climb"), (day.descent_m, "descent")):
        if day.moving_h and height_m > most_m:
            yield (
                f"{as_written(height_m, 'meter')} of {word} in {moving}, but walkers make at "
                f"most {alike(most_m, 'meter', height_m)} in that time. Are {word} and moving "
                "right?",
                word,
            )


def _energy(person: Person, day: DayType) -> _Doubts:
    """A measured expenditure against lying still."""
    if day.energy_kcal is None:
        return
    resting = resting_energy(person)
    multiple = day.energy_kcal / resting
    if is_outside("energy_multiple_of_resting", multiple):
        yield (
            f"the day uses {as_written(day.energy_kcal, 'kilocalorie')}, {multiple:.1f} times "
            f"the {resting:,.0f} kcal of lying still. Days use "
            f"{span_words('energy_multiple_of_resting')} times that. Is the unit right?",
            "energy",
        )


def _air(day: DayType) -> _Doubts:
    """Air that no weather brings."""
    humidity, air_c, night_c = day.humidity_percent, day.air_temperature_c, day.night_temperature_c
    if night_c is not None:
        night = as_written(night_c, "degC")
        if air_c is not None and night_c > air_c + value("night_warmer_high"):
            yield (
                f"the night has {night}, but the day only {as_written(air_c, 'degC')}. Are "
                "they swapped, or is one in another unit?",
                "night_temperature",
            )
        elif night_c > value("night_air_high"):
            yield f"no night is as hot as {night}. Is it right?", "night_temperature"
    if humidity is None:
        return
    shown = as_written(humidity, "percent")
    if humidity < value("air_humidity_low"):
        way_out = f"Do you mean {100 * humidity:g} %?" if humidity <= 1 else "Is it right?"
        yield f"with a humidity of {shown} the air is drier than in deserts. {way_out}", "humidity"
    elif air_c is not None:
        dew_c = value("dew_point_high")
        if vapour_pressure(air_c, humidity) > vapour_pressure(dew_c, 100):
            yield (
                f"air of {as_written(air_c, 'degC')} at {shown} holds more water than anybody "
                f"ever measured (dew point {alike(dew_c, 'degC', air_c)}). Is it the humidity "
                "of the hot hours? Is the unit of the temperature right?",
                "humidity",
            )


def _water(person: Person, day: DayType) -> _Doubts:
    """Sweat and drink beyond what people do."""
    rate, drink = day.sweat_rate_l_h, day.drink_l
    usual = span_words("sweat_rate_plausible")
    if rate is not None and is_outside("sweat_rate_plausible", rate):
        yield (
            f"the sweat rate is {as_written(rate, 'liter_per_hour')}, but people who work in "
            f"the heat have {usual} L/h. Are the number and the unit right?",
            "sweat_rate",
        )
    if day.sweat_hours and day.sweat_hours < value("sweat_time_share_low") * day.moving_h:
        yield (
            f"sweat_time is {as_written(day.sweat_hours, 'hour')}, but moving is "
            f"{as_written(day.moving_h, 'hour')}. Is the unit right?",
            "sweat_time",
        )
    if drink is not None and is_outside("drink_plausible", drink):
        yield (
            f"drink is {as_written(drink, 'liter')} for the whole day; expected "
            f"{span_words('drink_plausible', 'liter', drink)}. Are the number and the unit "
            "right?",
            "drink",
        )
    if (test := day.sweat_test) is None:
        return
    rate = sweat_test_rate(test)
    before = as_written(test.mass_before_kg, "kilogram")
    lost = 1 - test.mass_after_kg / test.mass_before_kg
    if is_outside("sweat_rate_plausible", rate) or lost > value("sweat_test_loss_high"):
        yield (
            f"the sweat test takes {100 * lost:.1f} % off the body mass and gives {rate:.2g} "
            f"L/h; expected at most {100 * value('sweat_test_loss_high'):g} % and {usual} L/h. "
            "Are its masses, litres and hours right?",
            "sweat_test",
        )
    elif abs(test.mass_before_kg / person.mass_kg - 1) > value("sweat_test_mass_span"):
        yield (
            f"the sweat test starts at {before}, but the person has "
            f"{as_written(person.mass_kg, 'kilogram')}. Is one of them mistyped?",
            "sweat_test",
        )
