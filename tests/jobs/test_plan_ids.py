"""The planner's names of rows are made and read in one place, and nowhere else."""

import ast
from pathlib import Path

import pytest

from jobs.plan_ids import (
    NotPlanIdError,
    crew_pk,
    crew_plan_id,
    job_pk,
    job_plan_id,
    site_plan_id,
    step_pk,
    step_plan_id,
)
from tests.source import modules, name_of

HOME = "jobs/plan_ids.py"
# The planner's own trials name houses that stand in no database; nothing reads those names.
TRIALS = "scheduling/planning/trials/"
PREFIXES = ("crew-", "job-", "step-", "site-")
TAKES_APART = {"split", "rsplit", "partition", "rpartition"}
NAMES_PREFIX = {"removeprefix", "startswith", "replace", "split", "partition"}


def test_a_name_is_read_as_it_was_made() -> None:
    assert crew_pk(crew_plan_id(12)) == 12
    assert job_pk(job_plan_id(7)) == 7
    assert step_pk(step_plan_id(31)) == 31
    assert site_plan_id(4) == "site-4"


@pytest.mark.parametrize("text", ["job-1", "crew-", "crew-x", "crew-1-2", "crew-²", "12", "", "-1"])
def test_no_other_text_is_a_crew(text: str) -> None:
    with pytest.raises(NotPlanIdError, match="is no crew"):
        crew_pk(text)


def _makes_id(node: ast.AST) -> bool:
    """`f"crew-{pk}"`, `"crew-%s" % pk`, `"crew-" + str(pk)`, `"crew-{}".format(pk)`."""
    match node:
        case ast.JoinedStr(values=[ast.Constant(value=str() as text), ast.FormattedValue()]):
            return text in PREFIXES
        case ast.BinOp(left=ast.Constant(value=str() as text)):
            return text.startswith(PREFIXES)
        case ast.Call(func=ast.Attribute(value=ast.Constant(value=str() as text), attr="format")):
            return text.startswith(PREFIXES)
    return False


def _reads_id(node: ast.AST) -> bool:
    """`removeprefix("crew-")`, `startswith("job-")`, `.rpartition("-")`, `int(name[5:])`."""
    match node:
        case ast.Call(func=ast.Attribute(attr=name), args=[ast.Constant(value=str() as text), *_]):
            return (name in NAMES_PREFIX and text in PREFIXES) or (
                name in TAKES_APART and text == "-"
            )
        case ast.Call(
            func=ast.Name(id="int"), args=[ast.Subscript(slice=ast.Slice(lower=ast.Constant()))]
        ):
            return True
    return False


def _found(path: Path) -> list[str]:
    tree = ast.parse(path.read_text())
    return [
        f"{name_of(path)}:{node.lineno}"
        for node in ast.walk(tree)
        if isinstance(node, ast.expr) and (_makes_id(node) or _reads_id(node))
    ]


@pytest.mark.parametrize(
    "source",
    [
        'f"crew-{pk}"',
        'f"step-{part.step_id}"',
        '"job-%s" % pk',
        '"site-" + str(pk)',
        '"crew-{}".format(pk)',
        'crew.removeprefix("crew-")',
        'name.startswith("job-")',
        'name.split("-")[1]',
        'name.rpartition("-")[2]',
        "int(crew[5:])",
    ],
)
def test_the_guard_sees_each_way_to_make_or_read_a_name(source: str) -> None:
    node = ast.parse(source).body[0]
    assert any(_makes_id(one) or _reads_id(one) for one in ast.walk(node))


def test_nobody_else_makes_or_reads_a_name() -> None:
    others = [path for path in modules() if name_of(path) != HOME]
    found = [place for path in others for place in _found(path) if not place.startswith(TRIALS)]
    assert found == []
