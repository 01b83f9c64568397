"""What closed cavities of slopes and walls share: pounds and bags of a fill, the cavity's R."""

from fractions import Fraction

from jobs.estimating import cautions, defaults
from jobs.estimating.charts import pick_cavity_row
from jobs.estimating.exact import plain, said
from jobs.estimating.materials import FILLS, Material
from jobs.estimating.reading import Node, limits, note
from jobs.estimating.steps import Space, Step

R_SOURCE = "16 CFR 460.17: R from the product's chart, never inches times R per inch"


def read_fill(node: Node, material: Material) -> tuple[Fraction, str]:
    """Density in lb/ft3 and whether the fill is dense or open; the nearer where not said."""
    most = limits(0, defaults.MAX_LB_PER_FT3)
    density = node.maybe("lb_per_ft3", "lb/ft3", most)
    fill = node.choice("fill", FILLS, "nearer")
    if density is None:
        fill = "dense" if fill == "nearer" else fill
        density = material.density(fill)
        source = f"the {fill} density of {material.name}"
        note(node.assumed, node.at("lb_per_ft3"), plain(density), "lb/ft3", source)
    if fill == "nearer":
        fill = material.nearest_fill(density)
    return density, fill


def filled(step: Step, volume_ft3: Fraction, lb_per_ft3: Fraction, material: Material) -> Fraction:
    """Pounds = volume x density; bags = pounds / bag weight, rounded up once. Gives the pounds."""
    source = f"fill density of {material.name}"
    pounds = step.product("pounds", "lb", source, volume_ft3=volume_ft3, lb_per_ft3=lb_per_ft3)
    bags = step.bag(pounds, material.bag(), material.name)
    step.fact(volume_ft3=volume_ft3, lb_per_ft3=lb_per_ft3)
    step.because.append(
        f"{said(volume_ft3)} ft3 at {said(lb_per_ft3)} lb/ft3 of {material.name} take"
        f" {said(pounds)} lb, {bags} bags of {said(material.bag())} lb."
    )
    return pounds


def cavity_r(
    node: Node,
    step: Step,
    space: Space,
    *,
    material: Material,
    depth_in: Fraction,
    lb_per_ft3: Fraction,
    target_r: Fraction | None = None,
) -> None:
    """State the R of a filled cavity from the product's cavity chart, and hold it to a target.

    `target_r` stands where the space names none.
    """
    row = pick_cavity_row(material.cavity_chart, depth_in, lb_per_ft3)
    step.fact(r=row.r if row else None)
    if row is None:
        text = (
            f"The cavity chart of {material.name} has no row for {said(depth_in)} in at"
            f" {said(lb_per_ft3)} lb/ft3, so no R is stated."
        )
        space.doubt(cautions.Doubt("cavity_chart", text, R_SOURCE))
    else:
        step.because.append(
            f"R-{said(row.r)} by the product's cavity chart for {said(row.depth_in)} in"
            f" at {said(row.lb_per_ft3)} lb/ft3 or more."
        )
    target = node.maybe("target_r", "R", limits(0, 200)) or target_r
    if target is not None and row is not None and row.r < target:
        space.doubt(target_not_met(target, row.r))


def target_not_met(target: Fraction, r: Fraction) -> cautions.Doubt:
    """The doubt that a cavity does not reach the R that was asked for."""
    text = (
        f"R-{said(target)} is asked for, the filled cavity gives R-{said(r)}. Where the roof leaves"
        " no room the code's exception for ceilings without attics, or added foam, may answer it."
    )
    return cautions.Doubt("target_not_met", text, "IRC N1102.2.2 / IECC R402.2.2")
