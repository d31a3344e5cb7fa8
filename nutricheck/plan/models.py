"""The plan's models: what was dried, packed and eaten, by whom, on what days.

A plan is written as TOML or in the fill-in workbook; both become one :class:`Plan`. Quantities are
text with a unit (``"500 g"``, ``"57 °C"``, ``"6 days"``) and become floats in the unit that the
field's name states; in the file the key is the name without the unit (``mass``, not ``mass_g``).
Each field's description, example and written units are the help of both forms and of the schema.
Everything here is about one plan alone: whether a food exists is the table's matter.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationInfo,
    field_validator,
    model_validator,
)
from pydantic_core import core_schema

from nutricheck.errors import UnitError, shorten
from nutricheck.facts.components import figure_tag
from nutricheck.facts.constants import value as constant_value
from nutricheck.plan.conditions import Condition
from nutricheck.units import (
    WRITTEN_UNITS,
    Written,
    alike,
    as_written,
    number_text,
    parse,
    split_amount,
    split_quantity,
)

__all__ = [
    "DAYS_PER_MONTH",
    "MOST_FOODS",
    "Additions",
    "Amount",
    "Batch",
    "Bought",
    "Carried",
    "ClinicFigure",
    "Companion",
    "CookedBy",
    "Cooking",
    "Date",
    "DayType",
    "DriedBy",
    "DryStretch",
    "Drying",
    "DryingStep",
    "Eaten",
    "Ferment",
    "FermentPart",
    "Found",
    "Ingredient",
    "Label",
    "Leg",
    "Mix",
    "MixPart",
    "OneOrMore",
    "Packed",
    "Person",
    "Plan",
    "Portion",
    "Preparation",
    "Quantity",
    "Rest",
    "SodiumInSweat",
    "Stages",
    "Storage",
    "Stretch",
    "SweatSodium",
    "SweatTest",
    "Trip",
]


#: Days of a portion that fits every trip, however long.
THE_TRIP = "the trip"


@dataclass(frozen=True)
class Quantity:
    """A float read from text and kept in ``unit`` of the table ``units``, within [low, high]."""

    unit: str
    low: float
    high: float
    example: str

    @property
    def units(self) -> tuple[str, ...]:
        """The units offered in the forms, the usual one first."""
        return WRITTEN_UNITS[self.unit]

    def read(self, value: object) -> Written:
        """The value in ``unit``, with its words; raises ValueError with what was found."""
        wanted = f'expected a number and a unit, such as "{self.example}"'
        if isinstance(value, str):
            try:
                number = parse(value, self.unit)
            except UnitError as error:
                raise ValueError(f"{error}; {wanted}") from None
        elif isinstance(value, Written):
            number = value
        else:
            raise ValueError(f"found {shorten(value)}; {wanted}")
        if self.low <= number <= self.high:
            return number
        least, most = (alike(end, self.unit, number) for end in (self.low, self.high))
        span = f"{least.partition(' ')[0]} to {most}"
        if number < 0 <= self.low:
            raise ValueError(f"{shorten(value)} is negative; expected {span}")
        raise ValueError(f"{shorten(value)} is outside {span}. Is the unit right?")

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {
            "type": "string",
            "description": f'text with a unit, such as "{self.example}"',
            "examples": [self.example],
        }


@dataclass(frozen=True)
class SodiumInSweat(Quantity):
    """Sodium in a litre of sweat, as laboratories write it: mmol/L, or mg/L."""

    @property
    def units(self) -> tuple[str, ...]:
        return ("mmol/L", "mg/L")

    def read(self, value: object) -> Written:
        try:
            number, unit = split_quantity(value) if isinstance(value, str) else (math.nan, "")
        except UnitError:
            unit = ""
        if unit.casefold() == "mg/l":
            mmol_l = number / constant_value("sodium_molar_mass")
            value = Written(mmol_l, f"{number:.12g} mg/L", self.unit)
        return super().read(value)


@dataclass(frozen=True)
class DaysOrTrip(Quantity):
    """Days, or "the trip": as many as each trip has; kept as infinity with its words."""

    def read(self, value: object) -> Written:
        if isinstance(value, Written) and math.isinf(value):
            return value
        if isinstance(value, str) and " ".join(value.split()).casefold() == THE_TRIP:
            return Written(math.inf, THE_TRIP, self.unit)
        try:
            return super().read(value)
        except ValueError as error:
            raise ValueError(f'{error}; or "{THE_TRIP}"') from None

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        json_schema = super().__get_pydantic_json_schema__(schema, handler)
        return json_schema | {"examples": [self.example, THE_TRIP]}


@dataclass(frozen=True)
class Amount:
    """Marks text of a number and one of ``units``, or other words; kept as "0.5 cup, packed"."""

    units: tuple[str, ...]
    example: str

    def read(self, text: str) -> str:
        """The text with its number and its words written one way."""
        parts = split_amount(text)
        return f"{number_text(parts[0])} {parts[1]}" if parts else text

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_after_validator_function(self.read, handler(source))


class OneOrMore:
    """Marks a list that may be written as its one entry alone."""

    def read(self, value: object) -> object:
        return [value] if isinstance(value, Mapping | BaseModel) else value

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(self.read, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        json_schema = handler(schema)
        return {"anyOf": [json_schema["items"], json_schema]}


class Date:
    """Marks text that says when; a date of TOML's or a spreadsheet's is written as 2026-05-12."""

    def read(self, value: object) -> object:
        return value.isoformat() if isinstance(value, date) else value

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(self.read, handler(source))


MassG = Annotated[float, Quantity("gram", 0, 200_000, "500 g")]
SmallMassG = Annotated[float, Quantity("gram", 0.0001, 2_000, "3.2 g")]
BodyMassKg = Annotated[float, Quantity("kilogram", 20, 300, "62 kg")]
HeightCm = Annotated[float, Quantity("centimeter", 90, 250, "168 cm")]
TemperatureC = Annotated[float, Quantity("degC", -60, 300, "57 °C")]
# more is °F taken for °C: no air in the shade has been measured so hot; common knowledge, no source
AirTemperatureC = Annotated[float, Quantity("degC", -60, 57, "31 °C")]
Hours = Annotated[float, Quantity("hour", 0, 2_000, "10 h")]
DayHours = Annotated[float, Quantity("hour", 0, 24, "7 h")]
TestHours = Annotated[float, Quantity("hour", 0.25, 24, "2 h")]
DaysOfPortion = Annotated[float, DaysOrTrip("day", 0.1, 2_000, "21 days")]
Months = Annotated[float, Quantity("month", 0, 60, "3 months")]
PaceMs = Annotated[float, Quantity("meter_per_second", 0, 3, "4 km/h")]
PackKg = Annotated[float, Quantity("kilogram", 0, 80, "14 kg")]
Metres = Annotated[float, Quantity("meter", 0, 10_000, "600 m")]
Percent = Annotated[float, Quantity("percent", 0, 100, "6 %")]
# less is a share taken for a percentage, "0.06 %" for 6 %: common practice, no source
Moisture = Annotated[float, Quantity("percent", 0.5, 100, "6 %")]
SweatLh = Annotated[float, Quantity("liter_per_hour", 0, 4, "0.8 L/h")]
Litres = Annotated[float, Quantity("liter", 0, 30, "5 L")]
EnergyKcal = Annotated[float, Quantity("kilocalorie", 500, 15_000, "3200 kcal")]
DeficitKcal = Annotated[float, Quantity("kilocalorie", 0, 5_000, "300 kcal")]
SweatMmolL = Annotated[float, SodiumInSweat("millimole_per_liter", 2, 200, "45 mmol/L")]

_USUAL_PACE_M_S = 4 / 3.6  # where none is given, as in needs.energy

# One line of printable text. What XML cannot hold (control characters, U+FFFE, U+FFFF) is refused
# in both forms, so that each plan can be written in the other.
_ONE_LINE = r"^[^\x00-\x1f\x7f\ufffe\uffff]*$"
_LINES = r"^[^\x00-\x08\x0b-\x1f\x7f\ufffe\uffff]*$"
Name = Annotated[str, Field(min_length=1, max_length=80, pattern=_ONE_LINE)]
FoodName = Annotated[str, Field(min_length=1, max_length=200, pattern=_ONE_LINE)]
Words = Annotated[str, Field(max_length=120, pattern=_ONE_LINE)]
PersonName = Annotated[str, Field(max_length=80, pattern=_ONE_LINE)]
When = Annotated[str, Field(min_length=1, max_length=40, pattern=_ONE_LINE), Date()]
PortionAmount = Annotated[
    str,
    Field(min_length=1, max_length=60, pattern=_ONE_LINE),
    Amount(("g", "oz", "tsp", "tbsp", "cup", "pieces"), "2 tsp"),
]
LabelAmount = Annotated[
    str,
    Field(min_length=1, max_length=60, pattern=_ONE_LINE),
    Amount(("mg", "g", "ug", "%DV", "IU", "kcal", "kJ"), "400 mg"),
]
FigureAmount = Annotated[
    str,
    Field(min_length=1, max_length=60, pattern=_ONE_LINE),
    Amount(("mg", "g", "ug", "mmol", "kcal", "kJ", "L", "mL"), "1800 mg"),
]


Meal = Literal["breakfast", "main meal", "snacks", "drinks"]
#: What is heated on the way.
Cooking = Literal["none", "cold soak", "hot water", "cooks"]
#: How an item is eaten, where it is said.
Eaten = Literal["as it is", "soaked", "heated"]
_EATEN = "how you eat it on the way; fill this in where the tool takes it wrongly"
#: What a food was when it was bought, where its name does not say.
Bought = Literal["cooked", "canned", "smoked", "salted"]
_BOUGHT = "what it was when you bought it, where its name does not say"
#: Sold to be eaten as it is; what was only salted is soaked and cooked.
READY_WHEN_BOUGHT: frozenset[Bought] = frozenset({"cooked", "canned", "smoked"})


class _Model(BaseModel):
    model_config = ConfigDict(
        frozen=True, extra="forbid", populate_by_name=False, str_strip_whitespace=True
    )


class Trip(_Model):
    """What you call the trip, and whose advised amounts are your aims."""

    title: Name = Field("untitled plan", description="what you call this trip")
    reference: Literal["DRI", "EFSA"] = Field(
        "DRI",
        description="whose advised amounts are your aims: DRI for the US and Canada, EFSA "
        "for Europe",
    )
    cooking: Cooking | None = Field(
        None,
        description="what you heat on the way: nothing, water to pour over food, or the food "
        "itself; left out: not known, so the tool asks",
    )
    iodised_salt: bool | None = Field(
        None,
        description="whether the salt that you add is iodised; its packet says so; left out: "
        "not known, so the tool asks where it matters",
    )
    notes: str = Field(
        "",
        max_length=2000,
        pattern=_LINES,
        description="your own remarks; they change no number",
    )


class SweatSodium(_Model):
    """A measurement of the sodium in one's own sweat; it wins over the usual figure."""

    concentration_mmol_l: SweatMmolL = Field(
        alias="concentration", description="sodium measured in your sweat"
    )
    site: Literal["whole body", "forearm", "five sites", "thigh"] = Field(
        description="where the sweat was caught; other places tell nothing about the whole body"
    )
    heat_day: int | None = Field(
        None,
        ge=1,
        le=100,
        description="which day of effort in the heat it was; left out: the first, or the "
        "tenth if you are used to the heat",
        examples=[1],
    )


#: Ages at which a pregnancy is possible at all; common knowledge, no source. [year]
_FERTILE = (11, 55)


class Person(_Model):
    """Who walks. Write others who eat from the same pack under companions."""

    sex: Literal["female", "male"] = Field(description="decides the aims")
    age_years: int = Field(
        alias="age", ge=9, le=110, description="age in whole years", examples=[34]
    )
    mass_kg: BodyMassKg = Field(alias="mass", description="body mass, without pack and boots")
    height_cm: HeightCm = Field(alias="height", description="height without shoes")
    life_stage: Literal["general", "pregnancy", "lactation"] = Field(
        "general", description="has its own aims"
    )
    smoker: bool = Field(False, description="smokes, and so needs more vitamin C")
    acclimatised: bool = Field(
        False, description="used to the heat: ten or more days of effort in it just before"
    )
    eats: Literal["everything", "vegetarian", "vegan"] = Field(
        "everything",
        description="vegetarian: no meat or fish; vegan: nothing from animals. Such food gives "
        "less of its iron",
    )
    does_not_eat: tuple[Name, ...] = Field(
        (),
        max_length=100,
        description="allergies, and foods that you never eat: a kind (milk, nuts, gluten) or "
        "a word of a food's name",
        examples=[["peanut"]],
    )
    postmenopausal: bool = Field(False, description="after the menopause: needs less iron")
    conditions: tuple[Condition, ...] = Field(
        (),
        description="an illness or medicine; salt medicine: water tablet, ACE inhibitor, ARB, "
        "lithium",
    )
    trimester: int | None = Field(
        None,
        ge=1,
        le=3,
        description="of the pregnancy; it decides the energy, and EFSA's protein; left out: "
        "the ranges span all three",
        examples=[2],
    )
    sweat_sodium: SweatSodium | None = None
    name: PersonName = Field(
        "",
        description="what you call this person, where several people eat from one pack",
        examples=["Ada"],
    )
    share_percent: Annotated[float, Quantity("percent", 1, 400, "80 %")] = Field(
        100.0,
        alias="share",
        description="how much of each portion this person eats, 100 % being all of it; left "
        "out: 100 %",
    )

    @property
    def vegetarian(self) -> bool:
        """Whether no meat or fish is eaten."""
        return self.eats != "everything"

    @property
    def can_be_pregnant(self) -> bool:
        """Whether words about pregnancy or menstruation can concern the person at all."""
        if self.sex != "female" or self.life_stage == "pregnancy":
            return self.life_stage == "pregnancy"
        return _FERTILE[0] <= self.age_years <= _FERTILE[1] and not self.postmenopausal

    @model_validator(mode="after")
    def _life_stage_fits(self) -> Self:
        if self.life_stage != "general" and self.sex != "female":
            raise ValueError(f"life_stage {self.life_stage} needs the sex female")
        if self.trimester is not None and self.life_stage != "pregnancy":
            raise ValueError("trimester needs the life_stage pregnancy")
        return self


class Companion(Person):
    """Someone who walks the same days and eats from the same pack.

    A day's portions are everybody's, each by their share, but for those that name who eats them.
    """

    name: Name = Field(description="what you call this person", examples=["Ben"])
    carries_percent: Annotated[float, Quantity("percent", 0, 400, "80 %")] = Field(
        100.0,
        alias="carries",
        description="how much this person carries, 100 % being the pack of the day; left out: "
        "100 %",
    )


class ClinicFigure(_Model):
    """What your doctor or dietitian set for you. It replaces every published aim."""

    component: str = Field(
        min_length=1,
        max_length=80,
        pattern=_ONE_LINE,
        description="short name of a nutrient, or fluid: all that you drink, with the water "
        "that soaks the food",
        examples=["NA"],
    )
    aim: FigureAmount | None = Field(None, description="the amount to reach each day")
    limit: FigureAmount | None = Field(None, description="the most for a day", examples=["2300 mg"])
    set_by: Name = Field(description="who set it", examples=["kidney dietitian, county hospital"])
    set_on: When = Field(description="when it was set", examples=["12 May 2026"])
    who: PersonName = Field(
        "",
        description="for whom, where several people eat from one pack; left out: the person "
        "of the plan",
        examples=["Ben"],
    )

    @field_validator("component")
    @classmethod
    def _by_its_tagname(cls, text: str) -> str:
        if tag := figure_tag(text):
            return tag
        raise ValueError(
            f"the tool has no figures for {shorten(text)}; expected a short name such as NA or "
            "K, or fluid"
        )

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.aim is None and self.limit is None:
            raise ValueError('give aim ("1800 mg"), limit ("2300 mg") or both')
        return self


class SweatTest(_Model):
    """A field test of the sweat rate: mass before and after, what went in and out."""

    mass_before_kg: BodyMassKg = Field(
        alias="mass_before",
        description="sweat test: body mass before, dry, in few clothes",
        examples=["61.4 kg"],
    )
    mass_after_kg: BodyMassKg = Field(
        alias="mass_after",
        description="body mass after, dried off, in the same clothes",
        examples=["60.6 kg"],
    )
    drunk_l: Litres = Field(
        alias="drunk", description="what you drank between the two weighings", examples=["1 L"]
    )
    urine_l: Litres = Field(
        0.0, alias="urine", description="urine between the two weighings", examples=["0.2 L"]
    )
    hours: TestHours = Field(
        description="time between the two weighings, all of it effort", examples=["2 h"]
    )


class DryStretch(_Model):
    """A stretch from one place with water to the next. Its water comes on top of the day's pack."""

    moving_h: DayHours = Field(
        alias="moving", description="hours of walking without a place to fill up"
    )
    resting_h: Annotated[float, Quantity("hour", 0, 72, "10 h")] = Field(
        0.0, alias="resting", description="hours of rest on it, such as a dry camp at night"
    )
    soak_l: Litres = Field(
        0.0,
        alias="soak",
        description="water to soak the food that you eat on it",
        examples=["0.6 L"],
    )
    rate_l_h: SweatLh | None = Field(
        None,
        alias="rate",
        description="what you drink in an hour of walking; left out: worked out from the "
        "day's sweat",
        examples=["0.7 L/h"],
    )
    reserve_percent: Annotated[float, Quantity("percent", 0, 300, "25 %")] | None = Field(
        None, alias="reserve", description="how much more to carry, to be safe; left out: a quarter"
    )


class DayType(_Model):
    """A kind of day, and how many such days the longest and the shortest trip have."""

    name: Name = Field(description="what you call this kind of day", examples=["survey walk"])
    count: int = Field(
        ge=0, le=400, description="days of this kind on the longest trip", examples=[15]
    )
    count_shortest: int | None = Field(
        None,
        ge=0,
        le=400,
        description="days on the shortest trip; left out: as many as on the longest",
        examples=[10],
    )
    moving_h: DayHours = Field(0.0, alias="moving", description="hours that you walk")
    pace_m_s: PaceMs = Field(0.0, alias="pace", description="your average pace while you walk")
    pack_kg: PackKg = Field(0.0, alias="pack", description="what you carry, with food and water")
    climb_m: Metres = Field(0.0, alias="climb", description="height gained over the day")
    descent_m: Metres = Field(0.0, alias="descent", description="height lost over the day")
    surface: Literal[
        "paved", "dirt road", "light brush", "heavy brush", "ploughed field", "loose sand", "bog"
    ] = Field("dirt road", description="what you mostly walk on")
    air_temperature_c: AirTemperatureC | None = Field(
        None,
        alias="air_temperature",
        description="air in the shade, while you walk; measured sweat does not follow it",
        examples=["31 °C"],
    )
    night_temperature_c: AirTemperatureC | None = Field(
        None,
        alias="night_temperature",
        description="air at night; with the day's it tells how warm the pack gets",
        examples=["17 °C"],
    )
    humidity_percent: Percent | None = Field(
        None, alias="humidity", description="relative humidity while you walk", examples=["40 %"]
    )
    sweat_rate_l_h: SweatLh | None = Field(
        None, alias="sweat_rate", description="if you measured it; used instead of the estimate"
    )
    sweat_hours: DayHours | None = Field(
        None,
        alias="sweat_time",
        description="hours that you sweat, or on a day without walking the hours in the heat; "
        "left out: the hours that you walk",
    )
    sweat_test: SweatTest | None = None
    drink_l: Litres | None = Field(
        None, alias="drink", description="what you plan to drink over the day", examples=["6 L"]
    )
    dry: tuple[DryStretch, ...] = Field((), max_length=10)
    energy_kcal: EnergyKcal | None = Field(
        None,
        alias="energy",
        description="energy that you use in a day, if you measured it; used instead of the "
        "estimate",
        examples=["3200 kcal"],
    )

    @model_validator(mode="after")
    def _way_is_long_enough(self) -> Self:
        way_m = (self.pace_m_s or _USUAL_PACE_M_S) * 3600 * self.moving_h
        height_m = self.climb_m + self.descent_m
        if self.moving_h and height_m > way_m:
            raise ValueError(
                f"climb and descent are {alike(height_m, 'meter', self.climb_m)} on a walk of "
                f"{alike(way_m, 'meter', self.climb_m)}, steeper than any path. Are pace and "
                "moving right?"
            )
        return self

    @model_validator(mode="after")
    def _dry_hours_are_walked(self) -> Self:
        hours = sum(stretch.moving_h for stretch in self.dry)
        if hours > self.moving_h + 1e-9:
            raise ValueError(
                f"the dry stretches have {hours:g} h of walking, but the day has only "
                f"{self.moving_h:g} h (moving). Which is right?"
            )
        return self

    @model_validator(mode="after")
    def _sweat_time_has_a_rate(self) -> Self:
        is_measured = self.sweat_rate_l_h is not None or self.sweat_test is not None
        if (
            self.sweat_hours
            and not self.moving_h
            and self.air_temperature_c is None
            and not is_measured
        ):
            raise ValueError(
                f"sweat_time is {self.sweat_hours:g} h on a day without walking, but nothing "
                "tells how much you sweat. Give air_temperature or a measured sweat_rate, or "
                "leave sweat_time out"
            )
        return self

    def on(self, trip: str) -> int:
        """Days of this kind on the "longest" or the "shortest" trip."""
        return self.count if trip == "longest" else self.shortest

    @property
    def is_on_a_trip(self) -> bool:
        """Whether the longest or the shortest trip holds a day of this kind."""
        return self.walked > 0

    @property
    def walked(self) -> int:
        """Days of this kind on the longest and the shortest trip together; 0 where on neither."""
        return self.count + self.shortest

    @property
    def shortest(self) -> int:
        """Days of this kind on the shortest trip."""
        return self.count if self.count_shortest is None else self.count_shortest


class Stretch(_Model):
    """Days of one kind in a row. Row by row they give the trip, from its first day on."""

    day: Name = Field(description="a kind of day", examples=["survey walk"])
    count: int = Field(
        ge=0, le=400, description="how many in a row on the longest trip", examples=[3]
    )
    count_shortest: int | None = Field(
        None,
        ge=0,
        le=400,
        description="days on the shortest trip; left out: as many as on the longest",
        examples=[2],
    )

    @property
    def shortest(self) -> int:
        """Days in a row on the shortest trip."""
        return self.count if self.count_shortest is None else self.count_shortest


class Leg(_Model):
    """Days from one stop with food to the next. Row by row they give the trip, from day one."""

    name: Name = Field(description="what you call this leg", examples=["north rim"])
    days: int = Field(ge=0, le=400, description="days on the longest trip", examples=[9])
    days_shortest: int | None = Field(
        None,
        ge=0,
        le=400,
        description="days on the shortest trip; left out: as many as on the longest",
        examples=[7],
    )
    filled: Literal["home", "food box", "shop"] = Field(
        "food box", description="where you get its food"
    )
    limit_kg: PackKg | None = Field(
        None,
        alias="limit",
        description="the most that food, containers and things carried may weigh when it starts",
        examples=["12 kg"],
    )

    @property
    def shortest(self) -> int:
        """Days on the shortest trip."""
        return self.days if self.days_shortest is None else self.days_shortest


class Ingredient(_Model):
    """A food of the table, by id or description, and its fresh edible mass."""

    food: FoodName = Field(
        description="food of the table, by description or id", examples=["Spinach, raw"]
    )
    mass_g: MassG = Field(alias="mass", description="fresh mass, peeled and trimmed")
    bought: Bought | None = Field(None, description=_BOUGHT)
    retention_code: str | None = Field(
        None,
        pattern=r"^\d{4}$",
        description="a code of the USDA retention table, Release 6, if you want a certain row",
        examples=["3464"],
    )


class Rest(_Model):
    """A rest before drying, in the cold as a rule."""

    hours: Hours = Field(alias="time", description="how long it rested", examples=["10 days"])
    temperature_c: TemperatureC = Field(
        4.0, alias="temperature", description="of the rest", examples=["4 °C"]
    )


BlanchedBy = Literal["water", "steam"]
CookedBy = Literal[
    "boiled",
    "steamed",
    "baked",
    "roasted",
    "braised",
    "fried",
    "scrambled",
    "simmered",
    "microwaved",
]
DriedBy = Literal["hot air", "oven", "sun", "shade", "freeze", "spray", "drum", "vacuum"]


class Preparation(_Model):
    """What was done before drying."""

    kind: Literal["raw", "blanched", "cooked", "fermented"] = Field(
        "raw", description="what you did before drying"
    )
    method: Literal[BlanchedBy, CookedBy] | None = Field(
        None, description="blanched: water or steam; cooked: one of the others"
    )
    liquid: Literal["kept", "drained"] | None = Field(
        None, description="what you did with the cooking water, drippings or brine"
    )
    salt_g: MassG = Field(
        0.0, alias="salt", description="table salt added to the whole batch", examples=["20 g"]
    )
    sugars_used_percent: Percent | None = Field(
        None,
        alias="sugars_used",
        description="how much of the sugar fermenting used up",
        examples=["80 %"],
    )
    strained_to_g: MassG | None = Field(
        None,
        alias="strained_to",
        description="curd, weighed after you strained yoghurt or other soured milk",
        examples=["1.6 kg"],
    )
    whey_g: MassG | None = Field(
        None, alias="whey", description="or the whey that ran off, weighed", examples=["2.4 kg"]
    )
    rested: Rest | None = None
    sulphited: bool = Field(
        False, description="dipped in sulphite: this saves vitamin C, but not thiamin"
    )

    @model_validator(mode="after")
    def _one_weighing(self) -> Self:
        if self.strained_to_g is not None and self.whey_g is not None:
            raise ValueError("give strained_to or whey, not both: the tool works out the other")
        return self

    @property
    def is_strained(self) -> bool:
        """Whether whey was let off."""
        return self.strained_to_g is not None or self.whey_g is not None

    @model_validator(mode="after")
    def _method_fits(self) -> Self:
        is_blanched = self.method in get_args(BlanchedBy)
        if self.kind == "blanched" and not is_blanched:
            raise ValueError('kind "blanched" needs method "water" or "steam"')
        if self.kind == "cooked" and (self.method is None or is_blanched):
            raise ValueError('kind "cooked" needs a method, such as "boiled" or "fried"')
        if self.kind in {"raw", "fermented"} and self.method is not None:
            raise ValueError(f'kind "{self.kind}" takes no method; found "{self.method}"')
        return self


#: A heated dryer is warmer than this: common practice, no source. [°C]
_WARM_C = 20
#: And a dryer for food no hotter than this; 105 to 160 are usual figures in °F: likewise. [°C]
_HOTTEST_AIR_C = 100


class DryingStep(_Model):
    """A part of the drying at one temperature, where you changed it on the way."""

    temperature_c: TemperatureC = Field(
        alias="temperature", description="the dryer's air in this step"
    )
    hours: Hours = Field(alias="time", description="how long this step took")


class Drying(_Model):
    """How the food was dried: constant ``temperature`` and ``time``, or ``steps``."""

    method: DriedBy = Field("hot air", description="how it was dried")
    temperature_c: TemperatureC | None = Field(
        None, alias="temperature", description="the dryer's air, if it stayed the same"
    )
    hours: Hours | None = Field(None, alias="time", description="time in the dryer")
    steps: tuple[DryingStep, ...] = Field((), max_length=20)

    @model_validator(mode="after")
    def _one_way_of_saying_it(self) -> Self:
        if self.steps and (self.temperature_c is not None or self.hours is not None):
            raise ValueError("give temperature and time, or steps, but not both")
        given = [step.temperature_c for step in self.steps]
        given += [] if self.temperature_c is None else [self.temperature_c]
        coldest, hottest = min(given, default=_WARM_C), max(given, default=_WARM_C)
        if self.method in {"hot air", "oven", "drum", "spray"} and coldest < _WARM_C:
            raise ValueError(
                f"{self.method} of {as_written(coldest, 'degC')} dries nothing; expected "
                f"{alike(_WARM_C, 'degC', coldest)} or more. Did you write °F for °C? If you "
                'used no heat: method = "shade"'
            )
        if self.method == "hot air" and hottest > _HOTTEST_AIR_C:
            raise ValueError(
                f"hot air of {as_written(hottest, 'degC')} is more than a dryer gives; "
                f"expected {alike(_HOTTEST_AIR_C, 'degC', hottest)} or less. Did you write °C "
                "for °F? "
                'If it was an oven: method = "oven"'
            )
        return self

    @property
    def heats_through(self) -> bool:
        """Whether the food itself gets as hot as in cooking: drum and spray; textbook knowledge."""
        return self.method in {"drum", "spray"}

    @property
    def profile(self) -> tuple[DryingStep, ...]:
        """The steps; one where temperature and time are given; empty where unknown."""
        if self.steps or self.temperature_c is None or self.hours is None:
            return self.steps
        # both are checked already
        return (DryingStep.model_construct(temperature_c=self.temperature_c, hours=self.hours),)


#: A refrigerator is cooler than this: common practice, no source. [°C]
_REFRIGERATED_C = 10
DAYS_PER_MONTH = 365.25 / 12


class Storage(_Model):
    """A stage of keeping, one after the other: at home, in the cold, in the pack.

    Without a stage in the pack, the days of the trip are one, at the air of its days and nights.
    """

    months: Months = Field(alias="time", description="how long you keep it so")
    temperature_c: TemperatureC = Field(
        20.0, alias="temperature", description="of the place where you keep it", examples=["20 °C"]
    )
    dark: bool = Field(True, description="kept in the dark")
    oxygen_absorber: bool = Field(
        False, description="packed with an oxygen absorber; it works until you open the bag"
    )
    where: Literal["before the trip", "in the pack"] | None = Field(
        None,
        description="in the pack: the days that you carry it and eat from it; left out: "
        "before the trip",
    )

    @property
    def warm_days(self) -> float:
        """Days that it is kept without a refrigerator."""
        if self.is_in_pack or self.temperature_c < _REFRIGERATED_C:
            return 0.0
        return DAYS_PER_MONTH * self.months

    @property
    def is_in_pack(self) -> bool:
        """Whether these are the days in the pack."""
        return self.where == "in the pack"


def _one_in_pack(stages: tuple[Storage, ...]) -> tuple[Storage, ...]:
    """The stages, of which only the last may be the pack."""
    if any(stage.is_in_pack for stage in stages[:-1]):
        raise ValueError('"in the pack" must be the last stage; take out what comes after it')
    return stages


#: Stages of keeping, the first first.
Stages = Annotated[
    tuple[Storage, ...],
    Field(max_length=12),
    AfterValidator(_one_in_pack),
    OneOrMore(),
]


class Batch(_Model):
    """Food that you dried together, and what it weighed after that or how moist it still was."""

    name: Name = Field(description="what you call this batch", examples=["spinach, raw"])
    ingredients: tuple[Ingredient, ...] = Field(min_length=1, max_length=60)
    preparation: Preparation = Preparation()
    drying: Drying = Drying()
    dried_mass_g: MassG | None = Field(
        None, alias="dried_mass", description="weighed after drying; the surest figure"
    )
    moisture_percent: Moisture | None = Field(
        None, alias="moisture", description="or how much of the dried food is still water"
    )
    ground: bool = Field(False, description="ground to powder")
    storage: Stages = ()
    eaten: Eaten | None = Field(None, description=_EATEN)

    @model_validator(mode="after")
    def _one_end_point(self) -> Self:
        if self.dried_mass_g is not None and self.moisture_percent is not None:
            raise ValueError("give dried_mass or moisture, not both. The weighed mass is surer")
        return self


#: The tables of a label by tagname.
LABEL_TABLES = ("amounts", "compounds", "states", "forms")


class Label(_Model):
    """A food, drink mix or supplement that you bought, as its label has it.

    ``amounts`` are per ``serving``: tagname → ``"400 mg"``, ``"50 %DV"``, ``"1000 IU"``. A
    supplement may have none, such as herbs: it is weighed and counted, and not known.
    An element of a supplement with a compound and no state gives a range and a question.
    """

    name: Name = Field(description="what you call it", examples=["magnesium capsule"])
    kind: Literal["food", "drink mix", "supplement"] = Field(
        "food", description="decides which cautions and upper levels count"
    )
    serving_g: SmallMassG = Field(
        alias="serving", description="the mass that the amounts are for", examples=["10 g"]
    )
    pieces: int | None = Field(
        None,
        ge=1,
        le=60,
        description="capsules or tablets in the serving, where the label counts them",
        examples=[2],
    )
    amounts: dict[str, LabelAmount] = Field(
        default_factory=dict,
        max_length=80,
        validate_default=True,
        description="amount in one serving, as the label says it",
    )
    scheme: Literal["US 2016", "US before 2016", "EU NRV"] | None = Field(
        None, description="whose daily values the label means by % (%DV)"
    )
    compounds: dict[str, Words] = Field(
        default_factory=dict,
        description="the compound that it is in, as the label names it",
        examples=[{"MG": "magnesium citrate"}],
    )
    states: dict[str, Literal["element", "compound", "unclear"]] = Field(
        default_factory=dict,
        description="whether the amount is the mass of the element or of the whole compound",
    )
    forms: dict[str, Words] = Field(
        default_factory=dict,
        description='the form: VITA "retinol", TOCPHA "natural", FOL "folic acid"',
    )
    fortified: tuple[Words, ...] = Field(
        (), description="added to the food or drink mix; all of a supplement counts as added"
    )
    water_percent: Percent | None = Field(
        None,
        alias="moisture",
        description="how much of it is water, if you know",
        examples=["4 %"],
    )
    storage: Stages = ()
    eaten: Eaten | None = Field(None, description=_EATEN)

    @field_validator("amounts")
    @classmethod
    def _food_says_an_amount(cls, amounts: dict[str, str], info: ValidationInfo) -> dict[str, str]:
        if not amounts and info.data.get("kind") != "supplement":
            raise ValueError(
                "is missing; give at least one amount. Only a supplement may have none: kind "
                '= "supplement"'
            )
        return amounts

    @property
    def piece_g(self) -> float | None:
        """Mass of one capsule or tablet, where the label is for so many. [g]"""
        return None if self.pieces is None else self.serving_g / self.pieces

    @field_validator("fortified")
    @classmethod
    def _in_one_order(cls, tags: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(sorted(set(tags)))


class MixPart(_Model):
    """A part of a mix: a batch, label or mix by name, or a food of the table."""

    item: Name | None = Field(
        None, description="a batch, label or mix of this plan", examples=["spinach, raw"]
    )
    food: FoodName | None = Field(
        None, description="or a food of the table", examples=["Salt, table"]
    )
    mass_g: MassG = Field(alias="mass", description="how much goes in")

    @model_validator(mode="after")
    def _one_source(self) -> Self:
        if (self.item is None) == (self.food is None):
            raise ValueError("give either item (a batch, label or mix) or food (from the table)")
        return self


class Mix(_Model):
    """Dried and other foods that you stir together, by mass."""

    name: Name = Field(description="what you call this mix", examples=["green powder"])
    parts: tuple[MixPart, ...] = Field(min_length=1, max_length=60)
    storage: Stages = ()

    @model_validator(mode="after")
    def _storage_is_before_the_trip(self) -> Self:
        if any(stage.is_in_pack for stage in self.storage):
            raise ValueError(
                'storage "in the pack" is for batches, labels and packed foods. A mix has no '
                "such place: take out where"
            )
        return self

    @model_validator(mode="after")
    def _weighs_something(self) -> Self:
        if sum(part.mass_g for part in self.parts) <= 0:
            raise ValueError("its parts weigh nothing; give the mass of each")
        return self


class FermentPart(_Model):
    """A packed item that goes into a drink made on the way."""

    item: Name = Field(description="a packed item", examples=["sugar"])
    mass_g: MassG = Field(alias="mass", description="how much goes in", examples=["60 g"])


class Ferment(_Model):
    """A drink that you ferment on the way, from packed parts and water.

    It is portioned by ``"1 batch"`` or ``"500 mL"``. The live grains weigh under carried.
    """

    name: Name = Field(description="what you call this drink", examples=["evening sugar ferment"])
    kind: Literal["sugar", "milk", "drink"] = Field(
        description="sugar water or milk powder with live grains; or a drink mix that only stands"
    )
    parts: tuple[FermentPart, ...] = Field(min_length=1, max_length=20)
    water_l: Annotated[float, Quantity("liter", 0.05, 30, "1 L")] = Field(
        alias="water", description="how much water goes in"
    )
    hours: Annotated[float, Quantity("hour", 0, 240, "24 h")] = Field(
        alias="time", description="how long it stands before you drink it"
    )
    temperature_c: AirTemperatureC | None = Field(
        None,
        alias="temperature",
        description="of the place where it stands; left out: that of the pack over day and night",
    )
    sugars_used_percent: Percent | None = Field(
        None,
        alias="sugars_used",
        description="how much of the sugar is used up, if you know; used instead of the estimate",
        examples=["50 %"],
    )
    density_before: float | None = Field(
        None,
        ge=0.98,
        le=1.2,
        description="density before, as you read it, in g/mL; with the one after it is used "
        "instead of the estimate",
        examples=[1.023],
    )
    density_after: float | None = Field(
        None,
        ge=0.98,
        le=1.2,
        description="density after, as you read it, in g/mL",
        examples=[1.012],
    )
    closed: bool = Field(False, description="the bottle is shut tight and keeps the gas")

    @model_validator(mode="after")
    def _densities_fall(self) -> Self:
        if (self.density_before is None) != (self.density_after is None):
            raise ValueError("give both density_before and density_after, or neither")
        if (self.density_after or 0.0) > (self.density_before or 0.0):
            raise ValueError(
                f"density_after {self.density_after} is above density_before "
                f"{self.density_before}, but fermenting makes it fall. Were they swapped?"
            )
        if self.parts_g <= 0:
            raise ValueError("its parts weigh nothing; give the mass of each")
        return self

    @property
    def parts_g(self) -> float:
        """Mass of the parts of one batch. [g]"""
        return sum(part.mass_g for part in self.parts)


class Packed(_Model):
    """What goes into the pack: a batch, label, mix, or a food of the table."""

    item: Name = Field(
        description="a batch, label or mix of this plan, or a new name for a food",
        examples=["green powder"],
    )
    food: FoodName | None = Field(
        None,
        description="the food of the table that the new name stands for",
        examples=["Nuts, almonds"],
    )
    mass_g: MassG = Field(alias="mass", description="net mass packed")
    container: Annotated[str, Field(max_length=80, pattern=_ONE_LINE)] = Field(
        "", description="what it is packed in", examples=["zip bag"]
    )
    container_mass_g: MassG = Field(
        0.0, alias="container_mass", description="mass of the empty container", examples=["12 g"]
    )
    tsp_g: SmallMassG | None = Field(
        None, alias="tsp", description="mass of a level teaspoon, weighed; a tablespoon is three"
    )
    piece_g: SmallMassG | None = Field(
        None, alias="piece", description="mass of one piece", examples=["1.2 g"]
    )
    eaten: Eaten | None = Field(None, description=_EATEN)
    bought: Bought | None = Field(None, description=_BOUGHT)
    storage: Stages = ()
    leg: Annotated[str, Field(max_length=80, pattern=_ONE_LINE)] = Field(
        "",
        description="the leg at whose start you pick it up; left out: the first",
        examples=["north rim"],
    )

    @model_validator(mode="after")
    def _storage_is_of_a_food(self) -> Self:
        if self.storage and self.food is None:
            raise ValueError(
                "storage belongs here only for a food of the table. For a batch, label or mix, "
                "write it there"
            )
        return self

    @model_validator(mode="after")
    def _bought_is_of_a_food(self) -> Self:
        if self.bought is not None and self.food is None:
            raise ValueError(
                "bought belongs here only for a food of the table. For a batch, write it with "
                "its ingredients"
            )
        return self


class Carried(_Model):
    """Things that weigh but do not feed you: live cultures, empty jars, water bottles."""

    name: Name = Field(description="what it is", examples=["two water bottles"])
    mass_g: MassG = Field(alias="mass", description="its mass, empty", examples=["180 g"])
    holds_l: Litres | None = Field(
        None, alias="holds", description="how much water it holds", examples=["4 L"]
    )


class Found(_Model):
    """Food that you pick or buy on the way and eat that day: perhaps none, and at most so much.

    It is not carried. It counts from nothing to all of it, any amount as likely.
    """

    name: Name = Field(description="what you call it", examples=["bilberries by the path"])
    food: FoodName = Field(description="food of the table", examples=["Blueberries, raw"])
    at_most_g: MassG = Field(
        alias="at_most", description="the most that you find on such a day", examples=["150 g"]
    )
    days: tuple[Name, ...] = Field(
        (),
        max_length=20,
        description="only on this kind of day; left out: every day",
        examples=[["survey walk"]],
    )
    leg: Annotated[str, Field(max_length=80, pattern=_ONE_LINE)] = Field(
        "", description="only on this leg; left out: on all legs", examples=["north rim"]
    )
    meal: Meal | None = Field(None, description="the meal it belongs to; left out: any time")


class Portion(_Model):
    """How much of a packed item you eat in a day."""

    item: Name = Field(description="a packed item", examples=["green powder"])
    amount: PortionAmount | None = Field(
        None,
        description="how much a day: a mass, spoons, pieces or a household measure of the food",
    )
    over_days: DaysOfPortion | None = Field(
        None,
        alias="over",
        description=f'or spread all of it evenly over so many days; "{THE_TRIP}" fits both the '
        "longest and the shortest",
    )
    days: tuple[Name, ...] = Field(
        (),
        max_length=20,
        description="only on this kind of day; left out: every day",
        examples=[["survey walk"]],
    )
    who: tuple[Name, ...] = Field(
        (),
        max_length=20,
        description="only these people eat it, each of them the whole amount; left out: "
        "everybody, by their share",
        examples=[["Ben"]],
    )
    soak_h: Hours | None = Field(
        None, alias="soak", description="how long it soaks in cold water", examples=["1 h"]
    )
    meal: Meal | None = Field(None, description="the meal it belongs to; left out: any time")

    @model_validator(mode="after")
    def _one_amount(self) -> Self:
        if (self.amount is None) == (self.over_days is None):
            raise ValueError('give either amount ("2 tsp") or over ("21 days")')
        return self

    def is_for(self, person: Person) -> bool:
        """Whether a person eats of it."""
        who = {name.casefold() for name in self.who}
        return not who or person.name.casefold() in who

    def times_for(self, person: Person) -> float:
        """How many times its amount a person eats: of what is everybody's their share. [-]"""
        if self.who:
            return float(self.is_for(person))
        return float(person.share_percent) / 100

    @property
    def is_over_trip(self) -> bool:
        """Whether all of it is spread over the trip, whichever it is."""
        return self.over_days is not None and math.isinf(self.over_days)


class Additions(_Model):
    """What the tool may use when it looks for the lightest foods to add."""

    at_home: tuple[FoodName, ...] = Field(
        (),
        max_length=200,
        description="a food that you have at home and could add",
        examples=[["Raisins, seedless"]],
    )
    leave_out: tuple[Name, ...] = Field(
        (),
        max_length=200,
        description="a food or kind that the tool must not propose; write what somebody never "
        "eats with the person",
        examples=[["sugar"]],
    )
    most_new_items: int | None = Field(
        None, ge=0, le=50, description="the most new items to add", examples=[4]
    )
    daily_ceiling_g: MassG | None = Field(
        None,
        alias="daily_ceiling",
        description="the most to add of one item a day",
        examples=["150 g"],
    )
    pack_limit_kg: PackKg | None = Field(
        None,
        alias="pack_limit",
        description="the most that food, containers and things carried may weigh when you set off",
        examples=["16 kg"],
    )
    deficit_kcal: DeficitKcal = Field(
        0.0,
        alias="deficit",
        description="energy that a day's food may lack on purpose",
    )
    drying: Drying = Drying()
    preparation: Preparation = Preparation()


#: Foods of all batches together, and of all mixes; ours. The workbook has a row for each of a
#: batch's foods and each component: with these it takes some 10 s, 1 GB and 80,000 rows.
MOST_FOODS = {"batch": 2000, "mix": 1000}


class Plan(_Model):
    """A whole plan. The validators report names used twice and names that nothing carries."""

    trip: Trip = Trip()
    person: Person
    companions: tuple[Companion, ...] = Field((), max_length=11)
    clinic: tuple[ClinicFigure, ...] = Field((), max_length=100)
    days: tuple[DayType, ...] = Field(min_length=1, max_length=20)
    order: tuple[Stretch, ...] = Field((), max_length=400)
    legs: tuple[Leg, ...] = Field((), max_length=60)
    batch: tuple[Batch, ...] = Field((), max_length=200)
    label: tuple[Label, ...] = Field((), max_length=200)
    mix: tuple[Mix, ...] = Field((), max_length=200)
    ferment: tuple[Ferment, ...] = Field((), max_length=40)
    packed: tuple[Packed, ...] = Field(min_length=1, max_length=400)
    carried: tuple[Carried, ...] = Field((), max_length=100)
    found: tuple[Found, ...] = Field((), max_length=100)
    portions: tuple[Portion, ...] = Field(min_length=1, max_length=2000)
    additions: Additions = Additions()

    @property
    def found_names(self) -> frozenset[str]:
        """Case-folded names of what is found on the way."""
        return frozenset(food.name.casefold() for food in self.found)

    @field_validator("batch", "mix")
    @classmethod
    def _foods_can_be_told(
        cls, entries: tuple[Batch, ...] | tuple[Mix, ...], info: ValidationInfo
    ) -> tuple[Batch, ...] | tuple[Mix, ...]:
        count = sum(
            len(entry.ingredients) if isinstance(entry, Batch) else len(entry.parts)
            for entry in entries
        )
        most = MOST_FOODS[str(info.field_name)]
        if count > most:
            raise ValueError(
                f"these have {count:,} foods together; a plan takes at most {most:,}. Make two "
                "plans of it"
            )
        return entries

    @field_validator("days")
    @classmethod
    def _counts_make_trips(cls, days: tuple[DayType, ...]) -> tuple[DayType, ...]:
        longest, shortest = (trip_length(days, trip) for trip in ("longest", "shortest"))
        if longest == 0:
            raise ValueError("every count is 0; the longest trip needs at least one day")
        if shortest == 0:
            raise ValueError(
                "the shortest trip has no days; give at least one kind of day a count_shortest"
            )
        if shortest > longest:
            raise ValueError(
                f"the shortest trip has {shortest} days, but the longest has {longest}. Were "
                "count and count_shortest swapped?"
            )
        return days

    @field_validator("legs")
    @classmethod
    def _legs_hold_all_days(cls, legs: tuple[Leg, ...], info: ValidationInfo) -> tuple[Leg, ...]:
        """The legs' days are those of the trips."""
        days: tuple[DayType, ...] = info.data.get("days", ())
        if not legs or not days:
            return legs
        trips = {
            "longest": (sum(leg.days for leg in legs), trip_length(days, "longest")),
            "shortest": (sum(leg.shortest for leg in legs), trip_length(days, "shortest")),
        }
        wrong = [
            f"{found} days on the {trip} trip, but days has {wanted}"
            for trip, (found, wanted) in trips.items()
            if found != wanted
        ]
        if wrong:
            raise ValueError(
                f"the legs have {'; '.join(wrong)}. Change days or days_shortest of a leg, or "
                "count in days"
            )
        return legs

    @field_validator("order")
    @classmethod
    def _order_holds_all_days(
        cls, order: tuple[Stretch, ...], info: ValidationInfo
    ) -> tuple[Stretch, ...]:
        """Every kind of day stands in the order as often as the trips have it."""
        days: tuple[DayType, ...] = info.data.get("days", ())
        if not order or not days:
            return order
        trips = {"longest": ([stretch.count for stretch in order], [day.count for day in days])}
        if any(stretch.count_shortest is not None for stretch in order):
            trips["shortest"] = (
                [stretch.shortest for stretch in order],
                [day.shortest for day in days],
            )
        wrong = []
        for trip, (counts, expected) in trips.items():
            found: Counter[str] = Counter()
            for stretch, count in zip(order, counts, strict=True):
                found[stretch.day.casefold()] += count
            wrong += [
                f"{found[day.name.casefold()]} of {shorten(day.name)} on the {trip} trip, but "
                f"days has {count}"
                for day, count in zip(days, expected, strict=True)
                if found[day.name.casefold()] != count
            ]
        if wrong:
            raise ValueError(
                f"the order has {'; '.join(wrong)}. Change count here or in days. Or leave the "
                "order out: the kinds of day are then evenly mixed"
            )
        return order


def trip_length(days: Iterable[DayType], trip: str) -> int:
    """Days of the "longest" or the "shortest" trip that are of these kinds. [day]

    Examples
    --------
    >>> walk, rest = DayType(name="walk", count=5, count_shortest=3), DayType(name="rest", count=2)
    >>> trip_length((walk, rest), "longest"), trip_length((walk, rest), "shortest")
    (7, 5)
    """
    return sum(day.on(trip) for day in days)


def repeated(names: Iterable[str]) -> list[str]:
    """Names that stand more than once, compared without regard to case, in first-seen order."""
    counts = Counter(name.casefold() for name in names)
    return [name for name, count in counts.items() if count > 1]
