"""Joints: which sizes they are made of, what they must do, what was read of assembled pieces, what they ask
of the steel."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.terms import (
    ANY_NUMBER,
    NOT_NEGATIVE,
    POSITIVE,
    JointCondition,
    JointKind,
    JointReadingKind,
)
from offtool.records.models.base import (
    ReadFromFile,
    filled,
    kept_history,
    name_field,
    not_zero,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.parts import Characteristic, Gauge, Programme
from offtool.records.models.tools import Cavity
from offtool.records.models.trials import Trial


class Joint(models.Model):
    """Two parts that move or hold on each other, or a chain of sizes that must leave a gap."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="joints")
    code = name_field("The joint's short name, such as shoulder.")
    name = name_field("The joint in words.", blank=True, default="")
    kind = word_field(JointKind, "How the parts hold on each other.")
    lower = models.FloatField(
        null=True, blank=True, help_text="Least of the measure; blank for what the limb's weight asks."
    )
    upper = models.FloatField(
        null=True, blank=True, help_text="Most of the measure; blank for what the peg may bear, or none."
    )
    limb_mass_g = models.FloatField(null=True, blank=True, help_text="Weight that the joint must hold up, g.")
    lever_mm = models.FloatField(
        null=True, blank=True, help_text="From the joint to the middle of that weight, mm."
    )
    # 2 is common practice, no source
    safety_factor = models.FloatField(
        default=2.0, help_text="How many times the weight's torque the joint must hold."
    )
    friction_low = models.FloatField(
        null=True, blank=True, help_text="Least friction of the pair; blank for the handbook's range."
    )
    friction_high = models.FloatField(
        null=True, blank=True, help_text="Most friction of the pair; blank for the handbook's range."
    )
    inner_resin = name_field(
        "Resin code of the inner side where it is not that of its part.", blank=True, default=""
    )
    outer_resin = name_field(
        "Resin code of the outer side where it is not that of its part.", blank=True, default=""
    )
    inner_modulus_mpa = models.FloatField(
        null=True, blank=True, help_text="Stiffness of the inner side, MPa; blank for the handbook's."
    )
    outer_modulus_mpa = models.FloatField(
        null=True, blank=True, help_text="Stiffness of the outer side, MPa; blank for the handbook's."
    )
    strain_allowed_pct = models.FloatField(
        null=True, blank=True, help_text="Strain that either side may bear, %; blank for the handbook's."
    )
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    history = kept_history()

    class Meta:
        constraints = (
            once("joint_code_once", "programme", "code"),
            *filled("joint", "code"),
            one_of("joint", "kind", JointKind),
            *within("joint", ANY_NUMBER, "lower", "upper"),
            *within("joint", NOT_NEGATIVE, "limb_mass_g", "lever_mm"),
            *within("joint", POSITIVE, "safety_factor", "friction_low", "friction_high"),
            *within("joint", POSITIVE, "inner_modulus_mpa", "outer_modulus_mpa", "strain_allowed_pct"),
            CheckConstraint(
                condition=Q(lower__lt=F("upper")) | Q(lower__isnull=True) | Q(upper__isnull=True),
                name="joint_limits_in_order",
                violation_error_message="the lower limit must be below the upper",
            ),
            CheckConstraint(
                # a check that comes out as NULL holds: one end alone must be refused by name
                condition=Q(friction_low__isnull=True, friction_high__isnull=True)
                | Q(friction_low__isnull=False, friction_high__isnull=False)
                & Q(friction_low__lte=F("friction_high")),
                name="joint_friction_in_order",
                violation_error_message="give both ends of the friction, the lower one first",
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}".rstrip()


class JointSize(models.Model):
    """One size of a joint: a characteristic that is measured, or a number."""

    joint = models.ForeignKey(Joint, on_delete=models.CASCADE, related_name="sizes")
    role = name_field("What the size is in the joint, such as peg_diameter; in a chain, any name.")
    characteristic = models.ForeignKey(
        Characteristic,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="in_joints",
        help_text="The size that is measured; blank for a number.",
    )
    value = models.FloatField(null=True, blank=True, help_text="The number, where it is not measured.")
    plus_minus = models.FloatField(default=0.0, help_text="How far the number may be off, either way.")
    factor = models.FloatField(default=1.0, help_text="In a chain, +1 or −1: which way it moves the gap.")
    angle_deg = models.FloatField(null=True, blank=True, help_text="In a loop, the way the size lies, deg.")
    angle_role = name_field("In a loop, the size that is this one's angle.", blank=True, default="")
    place = models.PositiveIntegerField(
        default=0, help_text="Where it stands among the sizes of the joint, from 0."
    )
    history = kept_history()

    class Meta:
        ordering = ("place", "pk")
        constraints = (
            once("joint_size_role_once", "joint", "role"),
            *filled("joint_size", "role"),
            *within("joint_size", ANY_NUMBER, "value", "factor", "angle_deg"),
            *within("joint_size", NOT_NEGATIVE, "plus_minus"),
            not_zero("joint_size", "factor", "the size moves nothing"),
            CheckConstraint(
                condition=Q(characteristic__isnull=True) | Q(value__isnull=True),
                name="joint_size_one_source",
                violation_error_message="give a characteristic or a number, not both",
            ),
        )

    def __str__(self) -> str:
        return self.role


class JointTest(ReadFromFile):
    """Readings of assembled pieces as they were taken, from one file. They never change; a test is set aside
    with a reason."""

    joint = models.ForeignKey(Joint, on_delete=models.PROTECT, related_name="tests")
    name = name_field("The test's own name or number.")
    gauge = models.ForeignKey(
        Gauge, on_delete=models.PROTECT, null=True, blank=True, related_name="joint_tests"
    )
    inner_trial = models.ForeignKey(
        Trial,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="inner_joint_tests",
        help_text="The trial that the inner pieces are from.",
    )
    outer_trial = models.ForeignKey(
        Trial,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="outer_joint_tests",
        help_text="The trial that the outer pieces are from.",
    )
    history = kept_history(without=("content",))

    class Meta:
        constraints = (
            once("joint_test_once", "joint", "name"),
            *filled("joint_test", "name", "file_name"),
        )

    def __str__(self) -> str:
        return self.name


class JointReading(models.Model):
    """One reading of an assembled pair, with the cell it was read from. Never updated."""

    test = models.ForeignKey(JointTest, on_delete=models.PROTECT, related_name="readings")
    piece = name_field("The assembled piece, as marked.")
    inner_cavity = models.ForeignKey(
        Cavity, on_delete=models.PROTECT, null=True, blank=True, related_name="inner_joint_readings"
    )
    outer_cavity = models.ForeignKey(
        Cavity, on_delete=models.PROTECT, null=True, blank=True, related_name="outer_joint_readings"
    )
    what = word_field(JointReadingKind, "What was read.")
    condition = word_field(JointCondition, "What the joint had been through.")
    hours = models.FloatField(null=True, blank=True, help_text="Hours since it was assembled.")
    cycles = models.PositiveIntegerField(null=True, blank=True, help_text="How often it had been moved.")
    operator = name_field("Who measured.", blank=True, default="")
    repeat = models.PositiveIntegerField(
        default=1, help_text="First, second, third reading of the same, from 1."
    )
    value = models.FloatField(help_text="The value, in N·m, N or deg.")
    row = models.PositiveIntegerField(help_text="Row of the cell in the file, from 1.")
    column = models.PositiveIntegerField(help_text="Column of the cell in the file, from 1.")

    class Meta:
        constraints = (
            once("joint_reading_once", "test", "row", "column"),
            *filled("joint_reading", "piece"),
            one_of("joint_reading", "what", JointReadingKind),
            one_of("joint_reading", "condition", JointCondition),
            *within("joint_reading", ANY_NUMBER, "value"),
            *within("joint_reading", NOT_NEGATIVE, "hours"),
            CheckConstraint(
                condition=Q(repeat__gte=1),
                name="joint_reading_repeat_range",
                violation_error_message="repeats are counted from 1",
            ),
        )

    def __str__(self) -> str:
        return str(self.value)


class JointDemand(models.Model):
    """What a joint asks of a size, over what its drawing says; the correction aims at it. Never updated, but
    dropped with a reason."""

    joint = models.ForeignKey(Joint, on_delete=models.PROTECT, related_name="demands")
    characteristic = models.ForeignKey(
        Characteristic, on_delete=models.PROTECT, related_name="demands", help_text="The size that must move."
    )
    target = models.FloatField(help_text="Where the mean should be.")
    lower = models.FloatField(null=True, blank=True, help_text="Lower end that the joint can do with.")
    upper = models.FloatField(null=True, blank=True, help_text="Upper end that the joint can do with.")
    reason = models.TextField(help_text="Why, as it was found.")
    made_at = models.DateTimeField(help_text="When.")
    made_by = name_field("Who.", blank=True, default="")
    dropped = models.TextField(
        blank=True, default="", help_text="Why it no longer counts; empty while it counts."
    )
    history = kept_history()

    class Meta:
        constraints = (
            *filled("joint_demand", "reason"),
            once("joint_demand_once", "joint", "characteristic", "made_at"),
            once(
                "joint_demand_one_that_counts",
                "characteristic",
                condition=Q(dropped=""),
                said="the size has a demand that counts already: drop that one first",
            ),
            *within("joint_demand", ANY_NUMBER, "target", "lower", "upper"),
            CheckConstraint(
                condition=(Q(lower__isnull=True) | Q(lower__lte=F("target")))
                & (Q(upper__isnull=True) | Q(upper__gte=F("target"))),
                name="joint_demand_target_inside",
                violation_error_message="the target must lie between the ends",
            ),
        )

    def __str__(self) -> str:
        return str(self.target)
