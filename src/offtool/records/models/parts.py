"""The product: its programme, resins, parts, and the characteristics by which a part is judged."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.terms import (
    AGE_MONTHS,
    ANY_NUMBER,
    NOT_NEGATIVE,
    POSITIVE,
    SHRINKAGE_PCT,
    UNITS,
    Direction,
    SizeKind,
    WeightClass,
)
from offtool.records.models.base import (
    filled,
    kept_history,
    name_field,
    number_field,
    once,
    one_of,
    within,
    word_field,
)


class Programme(models.Model):
    """One product on its way to production start."""

    slug = models.SlugField(
        max_length=50, unique=True, help_text="Short name for addresses and commands, such as harbour-otter."
    )
    title = models.CharField(max_length=200, help_text="The product as people call it.")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    currency = name_field("What money is given in, such as USD.", blank=True, default="")
    markets = name_field("Where it will be sold, such as US EU; blank: not said.", blank=True, default="")
    from_months = number_field("The age from which it is meant for a child, months.")
    to_months = number_field("The age up to which it is meant for a child, months.")
    mass_kg = number_field("What one finished product weighs, kg.")
    release_due = models.DateField(null=True, blank=True, help_text="The day by which it should be released.")
    history = kept_history()

    class Meta:
        constraints = (
            *filled("programme", "slug", "title"),
            *within("programme", AGE_MONTHS, "from_months", "to_months"),
            *within("programme", POSITIVE, "mass_kg"),
            CheckConstraint(
                condition=Q(to_months__gt=F("from_months"))
                | Q(to_months__isnull=True)
                | Q(from_months__isnull=True),
                name="programme_ages_in_order",
                violation_error_message="to_months must be above from_months",
            ),
        )

    def __str__(self) -> str:
        return self.title


class Resin(models.Model):
    """A moulding material with the shrinkage that the toolmaker allowed for when the steel was cut."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="resins")
    code = name_field("The resin as ordered, such as ABS.")
    name = name_field("The resin in words, with grade if known.", blank=True, default="")
    flow_pct = models.FloatField(help_text="Shrinkage allowed along the flow, % of the cavity size.")
    cross_pct = models.FloatField(help_text="Shrinkage allowed across the flow, % of the cavity size.")
    thickness_pct = models.FloatField(help_text="Shrinkage allowed through the wall, % of the cavity size.")
    semi_crystalline = models.BooleanField(
        default=False, help_text="POM, PA, PP, PE and the like: they shrink more and for longer."
    )
    density_g_cm3 = models.FloatField(null=True, blank=True, help_text="Density of the solid, g/cm³.")
    price_per_kg = models.FloatField(null=True, blank=True, help_text="What a kg of it costs.")
    history = kept_history()

    class Meta:
        constraints = (
            once("resin_code_once", "programme", "code"),
            *filled("resin", "code"),
            *within("resin", SHRINKAGE_PCT, "flow_pct", "cross_pct", "thickness_pct"),
            *within("resin", POSITIVE, "density_g_cm3"),
            *within("resin", NOT_NEGATIVE, "price_per_kg"),
        )

    def __str__(self) -> str:
        return self.code


class Part(models.Model):
    """A moulded part."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="parts")
    code = name_field("The part number.")
    name = name_field("The part as people call it.", blank=True, default="")
    resin = models.ForeignKey(
        Resin, on_delete=models.PROTECT, related_name="parts", help_text="What the part is moulded in."
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("part_code_once", "programme", "code"),
            *filled("part", "code"),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}".rstrip()


class Gauge(models.Model):
    """What a characteristic is measured with."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="gauges")
    code = name_field("The gauge's number.")
    name = name_field("The kind of gauge, such as micrometer.", blank=True, default="")
    resolution = models.FloatField(help_text="Smallest step the gauge shows, in the characteristic's unit.")
    uncertainty = models.FloatField(
        help_text="Standard uncertainty of one reading, in the unit of the characteristic; 0 when not known."
    )
    study = models.TextField(
        blank=True, default="", help_text="The study that says so; empty means that there is no gauge study."
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("gauge_code_once", "programme", "code"),
            *filled("gauge", "code"),
            *within("gauge", POSITIVE, "resolution"),
            *within("gauge", NOT_NEGATIVE, "uncertainty"),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}".rstrip()


class Characteristic(models.Model):
    """One thing that is measured on a part, with its limits."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="characteristics")
    number = name_field("The number on the drawing.")
    name = name_field("What is measured, such as bore of the hip socket.", blank=True, default="")
    kind = word_field(SizeKind, "What sort of size it is.")
    unit = models.CharField(max_length=12, help_text="mm, deg, g, N or N·m; another only for the kind other.")
    nominal = models.FloatField(help_text="The size on the drawing.")
    lower = models.FloatField(null=True, blank=True, help_text="Lower limit; blank when there is none.")
    upper = models.FloatField(null=True, blank=True, help_text="Upper limit; blank when there is none.")
    target = models.FloatField(
        null=True,
        blank=True,
        help_text="Where the mean should be; blank for the middle of the limits, or nominal with one limit.",
    )
    direction = word_field(
        Direction, "Which way the size lies to the flow of the melt.", blank=True, default=Direction.UNKNOWN
    )
    weight_class = word_field(WeightClass, "How much hangs on it.", default=WeightClass.MAJOR.value)
    required_index = models.FloatField(
        null=True,
        blank=True,
        help_text="The index it must show; blank for critical 1.33, major 1.00, minor each reading inside.",
    )
    gauge = models.ForeignKey(
        Gauge,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="characteristics",
        help_text="What it is measured with.",
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("characteristic_number_once", "part", "number"),
            *filled("characteristic", "number", "unit"),
            one_of("characteristic", "kind", SizeKind),
            one_of("characteristic", "direction", Direction),
            one_of("characteristic", "weight_class", WeightClass),
            *within("characteristic", ANY_NUMBER, "nominal", "lower", "upper", "target"),
            *within("characteristic", POSITIVE, "required_index"),
            CheckConstraint(
                condition=Q(unit__in=UNITS) | Q(kind=SizeKind.OTHER),
                name="characteristic_unit_known",
                violation_error_message="the unit must be mm, deg, g, N or N·m, unless the kind is other",
            ),
            CheckConstraint(
                condition=Q(lower__lt=F("upper")) | Q(lower__isnull=True) | Q(upper__isnull=True),
                name="characteristic_limits_in_order",
                violation_error_message="the lower limit must be below the upper",
            ),
            CheckConstraint(
                condition=Q(lower__isnull=False) | Q(upper__isnull=False),
                name="characteristic_has_a_limit",
                violation_error_message="give at least one limit",
            ),
        )

    def __str__(self) -> str:
        return f"{self.number} {self.name}".rstrip()
