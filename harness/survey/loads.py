"""What a load draws: the survey's figures first, the kind's typical ones for the rest, marked as assumed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from harness.kinds import Kind, KindLink, KindLoad
from harness.model.machine import Load
from harness.survey.ledger import Ledger
from harness.survey.schema import PartForm
from harness.survey.units import Spell

TYPICAL_V = 12.0  # the voltage the kinds' amperes are for


@dataclass(frozen=True, slots=True)
class _Stated:
    """What the survey says of one load link."""

    power: Spell | None
    current: Spell | None
    peak: Spell | None


@dataclass(frozen=True, slots=True)
class _Steady:
    amps: float
    watts: float | None
    seconds_s: float | None


def load_of(
    link: KindLink, *, kind: Kind, form: PartForm, name: str, system_v: float, ledger: Ledger
) -> tuple[Load, list[str]]:
    """The load of one link, and in words what of it was filled in from the kind."""
    assert link.load is not None
    stated = _stated(link.load, form)
    rated_v = form.rated or system_v
    label = _label(link, kind)
    steady, assumed = _steady(stated, link, kind, label, rated_v)
    peak_a, peak_s, more = _peak(stated, link.load, steady, label)
    if stated.peak is not None and peak_a is not None and peak_a < steady.amps:
        key = "coil peak" if link.load.takes == "coil" else "peak"
        ledger.say(
            ledger.at_value("parts", name, key),
            f"the peak, {peak_a:g} A, is less than the steady current, {steady.amps:.3g} A",
            "check both figures; the peak is what it draws at first",
        )
    nature = link.load.nature
    load = Load(round(steady.amps, 6), steady.seconds_s, peak_a, peak_s, steady.watts, nature)
    if form.duty is None or link.load.takes != "main":
        return load, [*assumed, *more]
    said = form.power or form.current
    if said is not None and (said.lasting or said.seconds_s not in (None, form.duty.on_s)):
        how = "as long as it is on" if said.lasting else f"for {said.seconds_s:g} s at most"
        ledger.say(
            ledger.at_value("parts", name, "duty"),
            f"{name!r} is on for {form.duty.on_s:g} s by its duty, and {how} by its load",
            "say how long it is on once: with duty, without 'for' or 'hold'",
        )
    # The duty says how long it is on, so what is usual for its kind is not assumed.
    kept = [text for text in assumed if text not in _spell_words(link.load, label)]
    return replace(load, steady_s=form.duty.on_s, off_s=form.duty.off_s), [*kept, *more]


def _stated(load: KindLoad, form: PartForm) -> _Stated:
    if load.takes == "main":
        return _Stated(form.power, form.current, form.peak)
    if load.takes == "coil":
        return _Stated(None, form.coil, form.coil_peak)
    return _Stated(None, None, None)


def _label(link: KindLink, kind: Kind) -> str:
    """What to call the figure: with its terminal where a part has several alike."""
    assert link.load is not None
    word = "coil current" if link.load.takes == "coil" else "current"
    alike = [each for each in kind.links if each.load and each.load.takes == link.load.takes]
    return f"{word} at {link.a}" if len(alike) > 1 else word


def _steady(
    stated: _Stated, link: KindLink, kind: Kind, label: str, rated_v: float
) -> tuple[_Steady, list[str]]:
    load = link.load
    assert load is not None
    said = stated.power or stated.current
    if said is None:
        watts = load.watts
        amps = watts / rated_v if watts is not None else (load.amps_at_12v or 0.0) * TYPICAL_V / rated_v
        typical = f"typical {kind.title}" + (f", {watts:g} W" if watts is not None else "")
        words = f"{label} {amps:.3g} A ({typical}: {link.source})"
        return _Steady(amps, watts, load.steady_s), [words, *_spell_words(load, label)]
    amps = said.value / rated_v if stated.power else said.value
    watts = said.value if stated.power else None
    if said.seconds_s is not None or said.lasting or load.steady_s is None:
        return _Steady(amps, watts, said.seconds_s), []
    return _Steady(amps, watts, load.steady_s), _spell_words(load, label)


def _spell_words(load: KindLoad, label: str) -> list[str]:
    return [] if load.steady_s is None else [f"{label} for {load.steady_s:g} s at most (common practice)"]


def _peak(
    stated: _Stated, load: KindLoad, steady: _Steady, label: str
) -> tuple[float | None, float | None, list[str]]:
    """The peak; a typical one keeps its proportion to the steady current when the survey gave that."""
    if stated.peak is not None:
        return stated.peak.value, stated.peak.seconds_s, []
    if load.peak_amps_at_12v is None or load.peak_s is None:
        return None, None, []
    usual_a = load.amps_at_12v or (load.watts or 0.0) / TYPICAL_V
    peak_a = round(load.peak_amps_at_12v / usual_a * steady.amps, 6)
    times = load.peak_amps_at_12v / usual_a
    words = (
        f"peak {label} {peak_a:.3g} A for {load.peak_s:g} s ({times:.2g} times the steady one, as typical)"
    )
    return peak_a, load.peak_s, [words]
