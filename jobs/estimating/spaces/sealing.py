"""Air sealing by counted items: minutes, foam in board-feet and cans, sealant for flues."""

from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating.estimated import Load
from jobs.estimating.exact import ceiling, counted, plain, spoken
from jobs.estimating.means import Means
from jobs.estimating.reading import MeasureName, Node, TakeoffError, limits
from jobs.estimating.sealing_items import UNITS, SealItem
from jobs.estimating.steps import SpaceReckoned, StepReckoned

FOAM_SOURCE = "board-feet by item; yield of a can by the takeoff or the default"


def air_seal(node: Node, means: Means) -> SpaceReckoned:
    """Reckon one step of hand work over all counted items. Raises TakeoffError."""
    items = node.children("items")
    if not items:
        wanted = _("is missing; expected items of kinds %(kinds)s")
        raise node.lacks("items", wanted, kinds=", ".join(UNITS))
    step = StepReckoned("air_seal", Fraction(len(items)), "items")
    board_ft, tubes = Fraction(0), Fraction(0)
    for item in items:
        kind, seal, count = _read_item(item, means)
        board_ft += _one_item(step, kind, seal, count)
        tubes += seal.tubes * count
    _foam(node, step, board_ft, means)
    if tubes:
        step.loads.append(Load("fire-rated sealant", ceiling(tubes), "tubes"))
        step.because.append("Flues get metal and fire-rated sealant, never foam.")
    return SpaceReckoned(steps=[step])


def _read_item(item: Node, means: Means) -> tuple[str, SealItem, Fraction]:
    kind = item.choice("kind", tuple(UNITS))
    unit = UNITS[kind]
    if not item.has(unit):
        raise _lacks(item, kind, unit)
    within = limits(0, 100_000, zero=True)
    count = item.number(unit, unit, within)
    if unit == "count" and count.denominator != 1:
        raise item.fail(unit, _("is not a whole number"))
    return kind, means.seal_items[kind], count


def _lacks(item: Node, kind: str, unit: str) -> TakeoffError:
    wrong = next((name for name in ("ft", "count", "ft2") if item.has(name)), None)
    if wrong is None:
        return item.lacks(unit, _("is missing; expected a number"))
    wanted = _("is missing; expected a number; %(kind)s is counted by %(unit)s, not by %(wrong)s")
    return item.lacks(unit, wanted, kind=kind, unit=unit, wrong=wrong)


def _one_item(step: StepReckoned, kind: str, seal: SealItem, count: Fraction) -> Fraction:
    step.by_hand(seal.minutes, count, kind.replace("_", " ").capitalize())
    step.use(seal.board_ft)
    board_ft = seal.board_ft.value * count
    if board_ft:
        name, source, rate = f"foam_{kind}", seal.board_ft.source, seal.board_ft.value
        step.product(name, "board-ft", source, quantity=count, rate=rate)
    return board_ft


def _foam(node: Node, step: StepReckoned, board_ft: Fraction, means: Means) -> None:
    foam = means.material(node, "air_seal")
    if foam.kind != "foam_can" or foam.can_board_ft is None:
        no_foam = _("%(material)s is not foam in cans with a %(measure)s")
        raise node.fail(
            "material", no_foam, material=foam.name, measure=MeasureName("can_board_ft")
        )
    cans = ceiling(board_ft / foam.can_board_ft)
    step.fact(material=foam.name, foam_board_ft=plain(board_ft), foam_cans=cans)
    step.figure(
        "foam_cans",
        Fraction(cans),
        "cans",
        "{board_ft} / {can_board_ft}, rounded up once",
        FOAM_SOURCE,
        board_ft=board_ft,
        can_board_ft=foam.can_board_ft,
    )
    step.because.append(
        f"Foam of {spoken(board_ft)} board-feet, {plain(foam.can_board_ft)} to the can:"
        f" {counted(cans, 'can')}."
    )
    if cans:
        step.loads.append(Load(foam.name, cans, "cans"))
