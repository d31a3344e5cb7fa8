"""The plan's models: what was dried, packed and eaten, by whom, on what days.

A plan is written as TOML or in the fill-in workbook; both become one :class:`Plan`. Quantities are
text with a unit (``"500 g"``, ``"57 °C"``, ``"6 days"``) and become floats in the unit that the
field's name states; in the file the key is the name without the unit (``mass``, not ``mass_g``).
Everything here is about one plan alone: whether a food exists is the table's matter.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from nutricheck.errors import UnitError, shorten
from nutricheck.units import parse, split_quantity

__all__ = [
    "Additions",
    "Batch",
    "DayType",
    "Drying",
    "DryingStep",
    "Ingredient",
    "Label",
    "Mix",
    "MixPart",
    "Packed",
    "Person",
    "Plan",
    "Portion",
    "Preparation",
    "Storage",
    "SweatTest",
    "Trip",
]


def _quantity(unit: str, low: float, high: float, example: str) -> Any:
    """An annotated float read from text with a unit and kept in ``unit``, in [low, high]."""

    def read(value: object) -> object:
        wanted = f'expected a number and a unit in quotes, such as "{example}"'
        if not isinstance(value, str):
            raise ValueError(f"found {shorten(value)}; {wanted}")
        try:
            if not split_quantity(value)[1]:
                raise ValueError(f"{shorten(value)} has no unit; {wanted}")
            number = parse(value, unit)
        except UnitError as error:
            raise ValueError(f"{error}; {wanted}") from None
        if number < 0 <= low:
            raise ValueError(f"{shorten(value)} is negative; expected {low:g} to {high:g} {unit}")
        if not low <= number <= high:
            raise ValueError(
                f"{shorten(value)} is outside {low:g} to {high:g} {unit}; is the unit right?"
            )
        return number

    return Annotated[
        float,
        BeforeValidator(read, json_schema_input_type=str),
        Field(description=f'text with a unit, such as "{example}"', examples=[example]),
    ]


MassG = _quantity("gram", 0, 200_000, "500 g")
SmallMassG = _quantity("gram", 0.0001, 2_000, "3.2 g")
BodyMassKg = _quantity("kilogram", 20, 300, "62 kg")
HeightCm = _quantity("centimeter", 90, 250, "168 cm")
TemperatureC = _quantity("degC", -60, 300, "57 °C")
Hours = _quantity("hour", 0, 2_000, "10 h")
DayHours = _quantity("hour", 0, 24, "7 h")
Days = _quantity("day", 0.1, 2_000, "21 days")
Months = _quantity("month", 0, 60, "3 months")
PaceMs = _quantity("meter/second", 0, 3, "4 km/h")
PackKg = _quantity("kilogram", 0, 80, "14 kg")
Metres = _quantity("meter", 0, 10_000, "600 m")
Percent = _quantity("percent", 0, 100, "6 %")
SweatLh = _quantity("liter/hour", 0, 4, "0.8 L/h")
Litres = _quantity("liter", 0, 30, "5 L")
EnergyKcal = _quantity("kilocalorie", 500, 15_000, "3200 kcal")

Name = Annotated[
    str, Field(min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]*\S[^\x00-\x1f\x7f]*$")
]
FoodName = Annotated[str, Field(min_length=1, max_length=200)]
AmountText = Annotated[str, Field(min_length=1, max_length=60)]


class _Model(BaseModel):
    model_config = ConfigDict(
        frozen=True, extra="forbid", populate_by_name=False, str_strip_whitespace=True
    )


class Trip(_Model):
    """The plan's title, the reference set and the run's options."""

    title: Name = "untitled plan"
    reference: Literal["DRI", "EFSA"] = "DRI"
    notes: str = Field("", max_length=2000)


class Person(_Model):
    """Who walks. Conditions only switch cautions on; they change no number."""

    sex: Literal["female", "male"]
    age_years: int = Field(alias="age", ge=9, le=110, description="age in whole years")
    mass_kg: BodyMassKg = Field(alias="mass")
    height_cm: HeightCm = Field(alias="height")
    life_stage: Literal["general", "pregnancy", "lactation"] = "general"
    smoker: bool = False
    acclimatised: bool = Field(False, description="ten or more days of effort in the heat behind")
    vegetarian: bool = False
    postmenopausal: bool = False
    conditions: tuple[
        Literal["kidney", "heart", "blood pressure", "diabetes", "liver", "iron overload"], ...
    ] = ()

    @model_validator(mode="after")
    def _life_stage_fits(self) -> Self:
        if self.life_stage != "general" and self.sex != "female":
            raise ValueError(f'life_stage {self.life_stage} needs sex = "female"')
        return self


class SweatTest(_Model):
    """A field test of the sweat rate: mass before and after, what went in and out."""

    mass_before_kg: BodyMassKg = Field(alias="mass_before")
    mass_after_kg: BodyMassKg = Field(alias="mass_after")
    drunk_l: Litres = Field(alias="drunk")
    urine_l: Litres = Field(0.0, alias="urine")
    hours: DayHours


class DayType(_Model):
    """A kind of day and how many of it the longest and the shortest trip hold."""

    name: Name
    count: int = Field(ge=0, le=400, description="days of this kind on the longest trip")
    count_shortest: int | None = Field(
        None, ge=0, le=400, description="on the shortest trip; left out: as on the longest"
    )
    moving_h: DayHours = Field(0.0, alias="moving")
    pace_m_s: PaceMs = Field(0.0, alias="pace")
    pack_kg: PackKg = Field(0.0, alias="pack")
    climb_m: Metres = Field(0.0, alias="climb")
    descent_m: Metres = Field(0.0, alias="descent")
    surface: Literal[
        "paved", "dirt road", "light brush", "heavy brush", "ploughed field", "loose sand", "bog"
    ] = "dirt road"
    air_temperature_c: TemperatureC | None = Field(None, alias="air_temperature")
    humidity_percent: Percent | None = Field(None, alias="humidity")
    sweat_rate_l_h: SweatLh | None = Field(None, alias="sweat_rate")
    sweat_hours: DayHours | None = Field(None, alias="sweat_time")
    sweat_test: SweatTest | None = None
    drink_l: Litres | None = Field(None, alias="drink")
    energy_kcal: EnergyKcal | None = Field(
        None, alias="energy", description="measured expenditure, where it is known; wins"
    )

    @property
    def shortest(self) -> int:
        """Days of this kind on the shortest trip."""
        return self.count if self.count_shortest is None else self.count_shortest


class Ingredient(_Model):
    """A food of the table, by id or description, and its fresh edible mass."""

    food: FoodName
    mass_g: MassG = Field(alias="mass")
    retention_code: str | None = Field(
        None, pattern=r"^\d{4}$", description="a USDA Release 6 code, where the choice matters"
    )


class Preparation(_Model):
    """What was done before drying.

    ``method``: blanched: water, steam; cooked: boiled, steamed, baked, roasted, braised, fried,
    scrambled, simmered, microwaved. ``liquid``: what became of the cooking water, drippings or
    brine.
    """

    kind: Literal["raw", "blanched", "cooked", "fermented"] = "raw"
    method: (
        Literal[
            "water",
            "steam",
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
        | None
    ) = None
    liquid: Literal["kept", "drained"] | None = None
    salt_g: MassG = Field(0.0, alias="salt")
    sugars_used_percent: Percent | None = Field(
        None, alias="sugars_used", description="share of the sugars that fermenting used up"
    )
    sulphited: bool = False

    @model_validator(mode="after")
    def _method_fits(self) -> Self:
        if self.kind == "blanched" and self.method not in {"water", "steam"}:
            raise ValueError('kind "blanched" needs method "water" or "steam"')
        if self.kind == "cooked" and self.method in {None, "water", "steam"}:
            raise ValueError('kind "cooked" needs a method, such as "boiled" or "fried"')
        if self.kind in {"raw", "fermented"} and self.method is not None:
            raise ValueError(f'kind "{self.kind}" takes no method; found "{self.method}"')
        return self


class DryingStep(_Model):
    """A stretch of drying at one air temperature."""

    temperature_c: TemperatureC = Field(alias="temperature")
    hours: Hours = Field(alias="time")


class Drying(_Model):
    """How the food was dried: constant ``temperature`` and ``time``, or ``steps``."""

    method: Literal["hot air", "oven", "sun", "shade", "freeze", "spray", "drum", "vacuum"] = (
        "hot air"
    )
    temperature_c: TemperatureC | None = Field(None, alias="temperature")
    hours: Hours | None = Field(None, alias="time")
    steps: tuple[DryingStep, ...] = ()

    @model_validator(mode="after")
    def _one_way_of_saying_it(self) -> Self:
        if self.steps and (self.temperature_c is not None or self.hours is not None):
            raise ValueError("give temperature and time, or steps, not both")
        return self

    @property
    def profile(self) -> tuple[DryingStep, ...]:
        """The steps; one where temperature and time are given; empty where unknown."""
        if self.steps or self.temperature_c is None or self.hours is None:
            return self.steps
        return (DryingStep(temperature=f"{self.temperature_c} °C", time=f"{self.hours} h"),)


class Storage(_Model):
    """How a batch is kept between packing and eating."""

    months: Months = Field(alias="time")
    temperature_c: TemperatureC = Field(20.0, alias="temperature")
    dark: bool = True
    oxygen_absorber: bool = False


class Batch(_Model):
    """Ingredients dried together. At most one of ``dried_mass`` and ``moisture``."""

    name: Name
    ingredients: tuple[Ingredient, ...] = Field(min_length=1, max_length=60)
    preparation: Preparation = Preparation()
    drying: Drying = Drying()
    dried_mass_g: MassG | None = Field(None, alias="dried_mass")
    moisture_percent: Percent | None = Field(
        None, alias="moisture", description="water left in the dried food, of its mass"
    )
    ground: bool = False
    storage: Storage | None = None

    @model_validator(mode="after")
    def _one_end_point(self) -> Self:
        if self.dried_mass_g is not None and self.moisture_percent is not None:
            raise ValueError("give dried_mass or moisture, not both; the weighed mass is better")
        return self


class Label(_Model):
    """A bought food, drink mix or supplement by its label.

    ``amounts`` are per ``serving`` (or per ``per`` mass): tagname → ``"400 mg"``, ``"50 %DV"``,
    ``"1000 IU"``. ``compounds`` names the salt of an element (``MG = "magnesium citrate"``) and
    ``states`` whether its amount is the ``element``'s or the ``compound``'s mass; an element of a
    supplement with a compound and no state gives a range and a question.
    """

    name: Name
    kind: Literal["food", "drink mix", "supplement"] = "food"
    serving_g: SmallMassG = Field(alias="serving", description="mass of what amounts are given for")
    amounts: dict[str, AmountText] = Field(min_length=1, max_length=80)
    scheme: Literal["US 2016", "US before 2016", "EU NRV"] | None = None
    compounds: dict[str, str] = Field(default_factory=dict)
    states: dict[str, Literal["element", "compound", "unclear"]] = Field(default_factory=dict)
    forms: dict[str, str] = Field(
        default_factory=dict, description='VITA = "retinol", TOCPHA = "natural", FOL = "folic acid"'
    )
    fortified: tuple[str, ...] = Field(
        (), description="tagnames added to a food or drink mix; a supplement counts as all added"
    )
    water_percent: Percent | None = Field(None, alias="moisture")


class MixPart(_Model):
    """A part of a mix: a batch, label or mix by name, or a food of the table."""

    item: Name | None = None
    food: FoodName | None = None
    mass_g: MassG = Field(alias="mass")

    @model_validator(mode="after")
    def _one_source(self) -> Self:
        if (self.item is None) == (self.food is None):
            raise ValueError(
                "give item (a batch, label or mix) or food (of the table), one of them"
            )
        return self


class Mix(_Model):
    """Dried foods and others stirred together by mass."""

    name: Name
    parts: tuple[MixPart, ...] = Field(min_length=1, max_length=60)


class Packed(_Model):
    """What goes into the pack: a batch, label, mix, or (with ``food``) a food of the table."""

    item: Name
    food: FoodName | None = None
    mass_g: MassG = Field(alias="mass", description="net mass packed")
    container: str = Field("", max_length=80)
    container_mass_g: MassG = Field(0.0, alias="container_mass")
    tsp_g: SmallMassG | None = Field(
        None, alias="tsp", description="weighed mass of a level teaspoon"
    )
    piece_g: SmallMassG | None = Field(None, alias="piece", description="mass of one piece")


class Portion(_Model):
    """How much of a packed item a day takes.

    ``amount`` is ``"40 g"``, ``"2 tsp"``, ``"1 tbsp"``, ``"3 pieces"`` or a household measure of
    the table in words (``"0.5 cup, shredded"``); or ``over`` spreads all of it over so many days.
    ``days`` names the day types it belongs to; left out: every day.
    """

    item: Name
    amount: AmountText | None = None
    over_days: Days | None = Field(None, alias="over")
    days: tuple[Name, ...] = ()

    @model_validator(mode="after")
    def _one_amount(self) -> Self:
        if (self.amount is None) == (self.over_days is None):
            raise ValueError('give amount ("2 tsp") or over ("21 days"), one of them')
        return self


class Additions(_Model):
    """What the search for the lightest additions may use."""

    pantry: tuple[FoodName, ...] = Field((), description="foods of the table that could be added")
    leave_out: tuple[Name, ...] = Field((), description="words of foods not to propose")
    most_new_items: int | None = Field(None, ge=0, le=50)
    daily_ceiling_g: MassG | None = Field(None, alias="daily_ceiling")
    drying: Drying = Drying()
    preparation: Preparation = Preparation()


class Plan(_Model):
    """A whole plan. The validators report names used twice and names that nothing carries."""

    trip: Trip = Trip()
    person: Person
    days: tuple[DayType, ...] = Field(min_length=1, max_length=20)
    batch: tuple[Batch, ...] = Field((), max_length=200)
    label: tuple[Label, ...] = Field((), max_length=200)
    mix: tuple[Mix, ...] = Field((), max_length=200)
    packed: tuple[Packed, ...] = Field(min_length=1, max_length=400)
    portions: tuple[Portion, ...] = Field(min_length=1, max_length=2000)
    additions: Additions = Additions()

    @property
    def days_longest(self) -> int:
        """Length of the longest trip. [day]"""
        return sum(day.count for day in self.days)

    @property
    def days_shortest(self) -> int:
        """Length of the shortest trip. [day]"""
        return sum(day.shortest for day in self.days)


def repeated(names: Iterable[str]) -> list[str]:
    """Names that stand more than once, compared without regard to case, in first-seen order."""
    counts = Counter(name.casefold() for name in names)
    return [name for name, count in counts.items() if count > 1]
