"""The house: which floor may know which, how long a file may be, what a module says of itself."""

import ast
import subprocess
import sys

from importlinter.cli import lint_imports

from tests.source import APPS, BASE, functions, modules, name_of

SOLVERS = {"ortools", "highspy"}
TOP = (
    "DEVELOPERS.md README.md contractor docker-compose.yml jobs manage.py requirements.txt "
    "scheduling tests"
)


def test_the_top_level_shows_the_nine_names() -> None:
    shown = sorted(path.name for path in BASE.iterdir() if not path.name.startswith("."))
    assert shown == TOP.split()


def test_the_contracts_of_imports_are_kept() -> None:
    """`.importlinter` says which floor, room and layer may know which; nothing forms a circle."""
    assert lint_imports(config_filename=str(BASE / ".importlinter"), no_cache=True) == 0


def test_the_web_process_never_loads_a_solver() -> None:
    code = (
        "import sys, contractor.wsgi; from django.urls import get_resolver; "
        "get_resolver().url_patterns; import contractor.celery; "
        "[p.url_patterns for p in get_resolver().url_patterns if hasattr(p, 'url_patterns')]; "
        "print(sorted(m for m in sys.modules if m in {'ortools', 'highspy', 'pandas'}))"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], cwd=BASE, capture_output=True, text=True, check=True
    )
    assert result.stdout.strip() == "[]"


def test_no_import_hides_in_a_function_but_a_solver_s_and_those_of_an_app_that_starts() -> None:
    hidden = []
    for path in modules():
        for function in functions(path):
            # Ports are filled once models are ready, so no sooner than here.
            if path.name == "apps.py" and function.name == "ready":
                continue
            for node in ast.walk(function):
                if isinstance(node, ast.Import | ast.ImportFrom):
                    names = (
                        [node.module or ""]
                        if isinstance(node, ast.ImportFrom)
                        else [alias.name for alias in node.names]
                    )
                    allowed = SOLVERS | {"scipy", "numpy"}
                    planner = [n for n in names if n.startswith("scheduling.planning")]
                    if not planner and not {n.split(".")[0] for n in names} <= allowed:
                        hidden.append(f"{name_of(path)}:{node.lineno} {names}")
    assert hidden == []


def test_every_module_says_in_one_line_what_it_holds() -> None:
    silent = [
        name_of(path)
        for path in modules()
        if path.read_text().strip() and not ast.get_docstring(ast.parse(path.read_text()))
    ]
    assert silent == []


def test_files_and_functions_stay_small() -> None:
    long_files = [
        f"{name_of(path)}: {lines} lines"
        for path in modules(*APPS, "tests")
        if (lines := len(path.read_text().splitlines())) > 400
    ]
    long_functions = [
        f"{name_of(path)}:{node.lineno} {node.name}: {size} lines"
        for path in modules()
        for node in functions(path)
        if (size := _size(node)) > 60
    ]
    assert [*long_files, *long_functions] == []


def _size(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    doc = ast.get_docstring(node, clean=False)
    return (node.end_lineno or 0) - node.lineno + 1 - (doc.count("\n") + 1 if doc else 0)


def test_templates_hold_no_inline_style_or_script() -> None:
    wrong = []
    for app in APPS:
        for path in (BASE / app / "templates").rglob("*.html"):
            text = path.read_text()
            wrong += [
                f"{name_of(path)}: {sign}"
                for sign in (" style=", "<style", " onclick=", " onload=", " onchange=", "|safe")
                if sign in text
            ]
            if "<script" in text and "<script>" in text:
                wrong.append(f"{name_of(path)}: inline script")
    assert wrong == []
