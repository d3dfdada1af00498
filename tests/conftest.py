"""Parts to fill, built in a line or two: what the tests of network, filling and properties lay in.

One fixture hands out the builders, for a session, so that property tests may call them as they like.
"""

from __future__ import annotations

import fcntl
import gc
import hashlib
import json
import os
import sys
from collections.abc import Callable, Generator, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from xdist.scheduler import LoadScopeScheduling

from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import check_sequence_of_case, plan_case
from optimiser.case.read_case import case_from_mapping
from optimiser.case.read_sequence import sequence_from_mapping
from optimiser.filling.fill_run import FillRun
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_state import Drive
from optimiser.filling.simulate import FillLimits, simulate
from optimiser.network.flow_network import FlowNetwork
from optimiser.network.reduce_part import reduce_part
from optimiser.part.laminate import Laminate, Layer, LayerKind
from optimiser.part.part import FeedLine, HeightPoint, LaminateArea, Outline, Part, Vent
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.part.shot import Crew


def _laminate(
    permeability_m2: float = 1e-9,
    *,
    across_m2: float | None = None,
    angle_rad: float = 0.0,
    thickness_m: float = 5e-3,
    porosity: float = 0.5,
    through_m2: float | None = None,
) -> Laminate:
    layer = Layer(
        name="plies",
        kind=LayerKind.REINFORCEMENT,
        thickness_m=thickness_m,
        porosity=porosity,
        permeability_along_m2=permeability_m2,
        permeability_across_m2=permeability_m2 if across_m2 is None else across_m2,
        angle_rad=angle_rad,
        permeability_through_m2=through_m2,
    )
    return Laminate(name="laminate", layers=(layer,))


def _feed_line(label: str, *run_m: tuple[float, ...], bore_m: float = 0.012, **hose: float) -> FeedLine:
    return FeedLine(
        label=label,
        line=label,
        run_m=run_m,
        bore_m=bore_m,
        inlet_share=hose.get("inlet_share", 0.5),
        hose_bore_m=hose.get("hose_bore_m", bore_m),
        hose_length_m=hose.get("hose_length_m", 0.05),
    )


def _vent(label: str, *run_m: tuple[float, ...]) -> Vent:
    return Vent(label=label, run_m=run_m, bore_m=0.01, hose_length_m=1.0, catch_pot_m3=5e-3)


def _panel(
    length_m: float,
    width_m: float,
    laminate: Laminate,
    lines: tuple[FeedLine, ...],
    vents: tuple[Vent, ...],
    *,
    patches: tuple[LaminateArea, ...] = (),
    holes_m: tuple[tuple[tuple[float, float], ...], ...] = (),
    heights: tuple[HeightPoint, ...] = (),
) -> Part:
    """A rectangle with one corner at the origin."""
    border = ((0.0, 0.0), (length_m, 0.0), (length_m, width_m), (0.0, width_m))
    return Part(
        outlines=(Outline(name="panel", border_m=border, holes_m=holes_m),),
        heights=heights,
        areas=(LaminateArea(name="base", laminate=laminate, border_m=None), *patches),
        feed_lines=lines,
        vents=vents,
    )


def _strip(
    length_m: float,
    cells: int,
    laminate: Laminate,
    *,
    lines_at_m: tuple[float, ...] = (0.0,),
    rise_m: float = 0.0,
    patches: tuple[LaminateArea, ...] = (),
    vents: tuple[Vent, ...] = (),
    **hose: float,
) -> Part:
    """One row of square cells, lines '0', '1' ... across it, a vent at its far end: flow in one dimension.

    A line one cell long is one node, so a bore of half a millimetre neither starves it nor holds resin worth
    counting; the short hose of 3 mm passes a thousand times what the strip does and holds 7 mm3.
    """
    width_m = length_m / cells
    hose = {"bore_m": 5e-4, "hose_bore_m": 3e-3, "hose_length_m": 1e-3} | hose
    lines = tuple(_feed_line(str(k), (x_m, 0.0), (x_m, width_m), **hose) for k, x_m in enumerate(lines_at_m))
    heights = (
        (HeightPoint(at_m=(0.0, 0.0), height_m=0.0), HeightPoint(at_m=(length_m, 0.0), height_m=rise_m))
        if rise_m
        else ()
    )
    end = _vent("V", (length_m, 0.0), (length_m, width_m))
    return _panel(length_m, width_m, laminate, lines, (end, *vents), patches=patches, heights=heights)


@dataclass(frozen=True, kw_only=True)
class Filled:
    network: FlowNetwork
    run: FillRun


def _fill_network(
    network: FlowNetwork,
    *steps: Step,
    viscosity_pa_s: float = 0.25,
    pressure_pa: float = 9e4,
    most_flow_m3_s: float | None = None,
    feed_conductance_m3: float | None = None,
    trapped_air_pa: float | None = None,
    density_kg_m3: float = 1100.0,
    clock: FluidityClock | None = None,
    crew: Crew | None = None,
    longest_s: float = 1e6,
    smallest_lock_m2: float = 1e-6,
) -> FillRun:
    """Play the steps; hands cost no time unless a crew is given, so that events are the front's alone."""
    drive = Drive(
        supply_pressure_pa=pressure_pa,
        most_flow_m3_s=most_flow_m3_s,
        resin_density_kg_m3=density_kg_m3,
        feed_conductance_m3=feed_conductance_m3,
        trapped_air_pa=trapped_air_pa,
    )
    return simulate(
        network,
        drive,
        clock or FluidityClock.of_constant_viscosity(viscosity_pa_s),
        Sequence(steps=steps),
        crew or Crew(hands=1, action_s=0.0),
        FillLimits(longest_s=longest_s, smallest_lock_m2=smallest_lock_m2),
    )


def _reduce(part: Part, cell_m: float, *, manifold_height_m: float = 0.0) -> FlowNetwork:
    return reduce_part(part, cell_m=cell_m, manifold_height_m=manifold_height_m, manifold_volume_m3=1e-6)


def _fill(part: Part, cell_m: float, *steps: Step, **how: Any) -> Filled:
    network = _reduce(part, cell_m)
    return Filled(network=network, run=_fill_network(network, *steps, **how))


def _act(action: Action, label: str, trigger: Trigger) -> Step:
    return Step(action=action, label=label, trigger=trigger)


def _at_start(*labels: str) -> tuple[Step, ...]:
    return tuple(_act(Action.OPEN, label, Trigger(kind=TriggerKind.START)) for label in labels)


def _on_reach(label: str, place: str | None = None, **trigger: float) -> Step:
    """Open when resin stands in `place`, by default the line itself."""
    return _act(Action.OPEN, label, Trigger(kind=TriggerKind.REACHED, place=place or label, **trigger))


def _at_clock(action: Action, label: str, at_s: float) -> Step:
    return _act(action, label, Trigger(kind=TriggerKind.CLOCK, at_s=at_s))


class Mould:
    """The builders by name, as tests call them."""

    laminate = staticmethod(_laminate)
    feed_line = staticmethod(_feed_line)
    vent = staticmethod(_vent)
    panel = staticmethod(_panel)
    strip = staticmethod(_strip)
    reduce = staticmethod(_reduce)
    fill = staticmethod(_fill)
    fill_network = staticmethod(_fill_network)
    open_at_start = staticmethod(_at_start)
    open_on_reach = staticmethod(_on_reach)
    at_clock = staticmethod(_at_clock)


@pytest.fixture(scope="session")
def mould() -> Mould:
    return Mould()


class PlannedOnce:
    """Plans and checks of equal documents: made once in a session and shared between its processes.

    Who asks for what another process is about to make waits for it. Nothing is kept for the next session. Tests that
    plan anew to compare, or with a part of the program exchanged, call `plan_case` themselves.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._read: dict[str, PlanDocument] = {}

    def plan(self, data: dict[str, Any]) -> PlanDocument:
        return self._once(["plan", data], lambda: plan_case(case_from_mapping(data)))

    def check(self, data: dict[str, Any], steps: list[dict[str, Any]]) -> PlanDocument:
        sequence = sequence_from_mapping({"schema_version": 1, "steps": steps})
        return self._once(["check", data, steps], lambda: check_sequence_of_case(case_from_mapping(data), sequence))

    def _once(self, asked: list[Any], make: Callable[[], PlanDocument]) -> PlanDocument:
        name = hashlib.sha256(json.dumps(asked).encode()).hexdigest()
        if name not in self._read:
            file = self._folder / f"{name}.json"
            with file.with_suffix(".lock").open("w") as lock:
                fcntl.flock(lock, fcntl.LOCK_EX)
                if not file.exists():
                    begun = file.with_suffix(".part")
                    begun.write_text(make().model_dump_json(), encoding="utf-8")
                    begun.replace(file)
            self._read[name] = PlanDocument.model_validate_json(file.read_text(encoding="utf-8"))
        return self._read[name]


@pytest.fixture(scope="session")
def planned_once(tmp_path_factory: pytest.TempPathFactory) -> PlannedOnce:
    """In the folder that the processes of a session share: that above their own, where there are several."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "planned_once"
    folder.mkdir(exist_ok=True)
    return PlannedOnce(folder)


_UNTIL_LEFT: dict[str, ExitStack] = {}
"""By folder, what ends with its last test and not with the session: at rest a service still costs what it polls."""


@pytest.fixture(scope="session")
def until_left() -> Iterator[Callable[[str], ExitStack]]:
    """By the name of a dear folder, a stack that closes once its tests are done."""
    yield lambda folder: _UNTIL_LEFT.setdefault(folder, ExitStack())
    _close_but(())


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(nextitem: pytest.Item | None) -> None:
    """All tests of a dear folder come one after the other."""
    _close_but(nextitem.path.parts if nextitem else ())


def _close_but(folders: tuple[str, ...]) -> None:
    for left in [name for name in _UNTIL_LEFT if name not in folders]:
        _UNTIL_LEFT.pop(left).close()


_DEAR_FOLDERS = {"acceptance", "engine", "one_service"}
"""What their tests share is dear: whole plans, a cluster, a service."""


_NICENESS = 18
"""One step short of the last (nice(2)): a job of a service takes ten steps back, and here it can take but one."""


_BYTECODE = Path(__file__).parents[1] / ".pytest_cache" / "bytecode"


def pytest_configure() -> None:
    """Beside tests that compute, those that wait for a job of a service would wait ten times as long for it."""
    os.nice(max(0, _NICENESS - os.nice(0)))
    _keep_bytecode()
    settings.register_profile("no clock", deadline=None, suppress_health_check=[HealthCheck.too_slow])
    settings.load_profile("no clock")  # beside others a drawn example may take seconds


def _keep_bytecode() -> None:
    """Where Python may write none beside its sources, each process that a test starts would compile for seconds."""
    if sys.dont_write_bytecode:
        sys.dont_write_bytecode, sys.pycache_prefix = False, str(_BYTECODE)
        os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is imported and collected stays: to look through it for garbage again and again would take seconds."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


_WAITING_FOLDERS = {"api", "durability", "engine"}
"""Their tests wait for services and jobs for most of their time."""


def _shares_with(nodeid: str) -> str:
    """Tests that share what they set up: those of a file, of a dear folder all."""
    file = PurePosixPath(nodeid.partition("::")[0])
    return file.parent.name if file.parent.name in _DEAR_FOLDERS else str(file)


def _waits(nodeid: str) -> bool:
    return not _WAITING_FOLDERS.isdisjoint(PurePosixPath(nodeid.partition("::")[0]).parts)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files that wait come evenly between those that compute, so that processes never all wait at once."""
    kinds: dict[bool, dict[str, int]] = {False: {}, True: {}}
    for item in items:
        kinds[_waits(item.nodeid)].setdefault(_shares_with(item.nodeid), len(kinds[_waits(item.nodeid)]))
    place = {name: at / len(names) for names in kinds.values() for name, at in names.items()}
    items.sort(key=lambda item: place[_shares_with(item.nodeid)])


class _TogetherWhatShares(LoadScopeScheduling):  # type: ignore[misc]
    """With several processes, tests that share what they set up stay in one."""

    def _split_scope(self, nodeid: str) -> str:
        return _shares_with(nodeid)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> _TogetherWhatShares:
    return _TogetherWhatShares(config, log)
