"""What the neutralizing capacitor of a set model must have, for the types wanted and for one put in instead."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Max

from inventory.pairing.rules.bridge import (
    Bridge,
    BridgeFault,
    InRange,
    cn_pf,
    in_parallel,
    lies_in_range,
    reactance_ohm,
    residual_pf,
    substitute,
)
from inventory.sets.models import SetModel
from tubes.queries import figure_of

INSTEAD, AS_GIVEN = "instead", "as given above"
FIGURE_OF = {"cpk": "cout_pf", "cgf": "cin_pf"}  # what a table holds in place of what the bridge turns on
TABLE_NAMES = {"cpk": "output capacitance", "cgf": "input capacitance"}
Figures = Mapping[str, tuple[float, str]]  # by type: the figure and its grade


@dataclass(frozen=True)
class Instead:
    """A type to put into every neutralized position; figures that are asked for are those of one tube, pF."""

    type: str
    cpk: float | None = None
    cgf: float | None = None
    frequency_kc: float | None = None


@dataclass(frozen=True)
class OldSetting:
    """What a type put in instead does with the capacitor left where it was; ``frequency_kc`` None: none is known."""

    cn_ratio: float
    change_pf: float
    residual_pf: float
    reactance_ohm: float | None
    frequency_kc: float | None

    @property
    def same(self) -> bool:
        """Within a thousandth of a picofarad, less than any table knows."""
        return abs(self.change_pf) < 1e-3 and abs(self.residual_pf) < 1e-3


@dataclass(frozen=True)
class BridgeLine:
    """What the neutralizing capacitor must have for the tubes in some positions; ``cgp_pf``: of all of them."""

    position: str
    type: str
    cgp_pf: float | None
    grade: str
    cn_pf: float | None
    range: InRange | None
    text: str
    tubes: int = 1
    remarks: tuple[str, ...] = ()
    old_setting: OldSetting | None = None

    @property
    def types(self) -> list[str]:
        return self.type.split(", ")


@dataclass(frozen=True)
class _Stage:
    """Positions on one capacitor, with the types wanted in them."""

    position: str
    types: tuple[str, ...]
    remark: str = ""


def bridge_of(model: SetModel, instead: Instead | None = None) -> list[BridgeLine]:
    """What the capacitor needs for the neutralized positions, and for a type put in instead (at most seven queries)."""
    if not model.bridge_circuit:
        return []
    stages = _stages(model)
    names = {name for stage in stages for name in stage.types} | ({instead.type} if instead else set())
    cgp = figure_of(names, "cgp_pf")
    wanted = [_wanted_line(model, stage, cgp) for stage in stages]
    if instead is None:
        return wanted
    given = {
        key: _asked_for(getattr(instead, key)) or figure_of([instead.type], FIGURE_OF[key]).get(instead.type)
        for key in _turns_on(model)
    }
    highest = model.unit_models.aggregate(Max("high_kc"))["high_kc__max"]
    frequency = instead.frequency_kc or highest
    of_size: dict[int, BridgeLine | None] = {}  # the first stage of each size is what the old setting served
    for stage, line in zip(stages, wanted, strict=True):
        of_size.setdefault(len(stage.types), line)
    return wanted + [
        _instead_line(model, instead.type, count, cgp, given, old, frequency)
        for count, old in sorted((of_size or {1: None}).items())
    ]


def _asked_for(figure: float | None) -> tuple[float, str] | None:
    return (figure, AS_GIVEN) if figure else None


def _turns_on(model: SetModel) -> tuple[str, ...]:
    """Which other capacitance of the tube the circuit turns on."""
    return {"split-stator": ("cpk",), "grid-bridge": ("cgf",)}.get(model.bridge_circuit, ())


def _stages(model: SetModel) -> list[_Stage]:
    """Which neutralized positions work on one capacitor. Where nobody has said, both ways are told."""
    rows = model.positions.filter(neutralized=True, type__isnull=False).select_related("type").order_by("id")
    positions = [(position.mark, position.type.name) for position in rows if position.type]
    single = [_Stage(mark, (name,)) for mark, name in positions]
    if len(positions) < 2 or model.sharing == SetModel.EACH or model.bridge_circuit == "cross":
        return single
    marks = " + ".join(mark for mark, _ in positions)
    remark = "" if model.sharing else "Only if they work in parallel on one capacitor; the model does not say so."
    together = _Stage(marks, tuple(name for _, name in positions), remark)
    return [together] if model.sharing == SetModel.PARALLEL else [*single, together]


def _wanted_line(model: SetModel, stage: _Stage, cgp: Figures) -> BridgeLine:
    count, name = len(stage.types), ", ".join(dict.fromkeys(stage.types))
    if unknown := [one for one in stage.types if one not in cgp]:
        text = f"The grid-plate capacitance of {unknown[0]} is not known."
        return BridgeLine(stage.position, name, None, "not known", None, None, text, count)
    grade = ", ".join(dict.fromkeys(cgp[one][1] for one in stage.types))
    try:
        total = in_parallel(*(cgp[one][0] for one in stage.types))
        needed = cn_pf(Bridge(model.bridge_circuit, cgp=total, **model.bridge))
    except BridgeFault as fault:
        return BridgeLine(stage.position, name, None, grade, None, None, f"Not worked out: {fault}.", count)
    within = _range(model, needed)
    remarks = (stage.remark,) if stage.remark else ()
    return BridgeLine(stage.position, name, total, grade, needed, within, _needed(needed, within), count, remarks)


def _needed(needed: float, within: InRange | None) -> str:
    verdict = within.verdict if within else "the capacitor's range is not recorded"
    beyond = f", {within.missing_pf:.3g} pF outside" if within and not within.fits else ""
    return f"{needed:.4g} pF: {verdict}{beyond}."


def _range(model: SetModel, needed: float) -> InRange | None:
    least, most = model.cn_min_pf, model.cn_max_pf
    if least is None or most is None or not 0 <= least < most:
        return None
    return lies_in_range(needed, least, most)


def _instead_line(
    model: SetModel,
    name: str,
    count: int,
    cgp: Figures,
    given: Mapping[str, tuple[float, str] | None],
    old: BridgeLine | None,
    frequency_kc: float | None,
) -> BridgeLine:
    position = INSTEAD if count == 1 else f"{INSTEAD}, {count} in parallel"
    if name not in cgp:
        text = f"The grid-plate capacitance of {name} is not known."
        return BridgeLine(position, name, None, "not known", None, None, text, count)
    if lacking := [key for key, figure in given.items() if figure is None]:
        text = f"Not worked out: the {TABLE_NAMES[lacking[0]]} of {name} is not known; give it below."
        return BridgeLine(position, name, None, cgp[name][1], None, None, text, count)
    own = {key: figure[0] * count for key, figure in given.items() if figure}
    remarks = tuple(_honest(key, figure, count) for key, figure in given.items() if figure)
    try:
        total = in_parallel(*[cgp[name][0]] * count)
        new = Bridge(model.bridge_circuit, cgp=total, **(model.bridge | own))
        needed, within = cn_pf(new), _range(model, cn_pf(new))
        left = _left_alone(model, new, old, own, frequency_kc)
    except BridgeFault as fault:
        return BridgeLine(position, name, None, cgp[name][1], None, None, f"Not worked out: {fault}.", count)
    return BridgeLine(
        position, name, total, cgp[name][1], needed, within, _needed(needed, within), count, remarks, left
    )


def _honest(key: str, figure: tuple[float, str], count: int) -> str:
    amount = f"{figure[0]:g} pF a tube" if count > 1 else f"{figure[0]:g} pF"
    if figure[1] == AS_GIVEN:
        return f"{amount}, as given."
    more = "screen and suppressor included" if key == "cpk" else "screen included"
    return (
        f"Taken as {amount}: the {TABLE_NAMES[key]} in the tables ({figure[1]}), {more} where the tube has them, "
        "without the strays of the wiring. Give a better figure below if there is one."
    )


def _left_alone(
    model: SetModel, new: Bridge, old: BridgeLine | None, own: Mapping[str, float], frequency_kc: float | None
) -> OldSetting | None:
    """What couples still if nobody touches the capacitor; None where the present setting is not known."""
    if old is None or old.cn_pf is None or old.cgp_pf is None:
        return None
    before = Bridge(model.bridge_circuit, cgp=old.cgp_pf, **model.bridge)
    change = substitute(before, new.value("cgp"), **own)
    residual = residual_pf(new, old.cn_pf)
    ohm = reactance_ohm(residual, frequency_kc) if frequency_kc else None
    return OldSetting(change.ratio, change.change_pf, residual, ohm, frequency_kc)
