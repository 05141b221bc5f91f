"""From needs and matched price lists to a quote: the cheapest basket, told line by line."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor
from typing import Any

from harness.buying.cutting import Stock
from harness.buying.plan import MARKS_PER_M
from harness.lists.measure import natural
from harness.model.pricing import Matching, Need, Offer, PriceList
from harness.quote.basket import cheapest
from harness.quote.fits import cuts_from
from harness.quote.result import Compared, Heading, Line, Open, Order, Quote, Tax
from harness.quote.wares import Basket, Supplier, Tier, Ware, Wish, shared_out, tier_of, to_cents

STANDARD = "standard"  # the tax class of what a list gives no class, and of order charges


class NoRate(Exception):
    """Tax classes of price lists that have no rate."""

    def __init__(self, lacking: Mapping[str, str]) -> None:
        """``lacking``: class -> the same with a line that has it."""
        super().__init__(f"no rate for class {', '.join(lacking.values())}")
        self.classes = tuple(lacking)


def marks(length_m: Decimal, *, up: bool) -> int:
    """A length in whole marks; what is needed rounds up, what there is rounds down."""
    exact = Fraction(length_m) * MARKS_PER_M
    return ceil(exact) if up else floor(exact)


def _ware_id(offer: Offer, need: Need) -> str:
    return offer.id if offer.unit == need.unit else f"{offer.id} (by the {need.unit})"


def ware_of(offer: Offer, need: Need, *, in_stock: bool) -> Ware | None:
    """An offer as it serves a need; None where it cannot be counted in what is needed."""
    if offer.unit == need.unit:
        amount = marks(offer.content, up=False) if need.unit == "m" else floor(offer.content)
    elif need.unit == "each" and not offer.cut:
        amount = 1  # one roll, whatever its length
    else:
        return None
    if amount < 1:
        return None
    tiers = tuple(Tier(one.least, one.price) for one in offer.breaks)
    return Ware(
        _ware_id(offer, need), offer.supplier, amount, tiers,
        to_length=offer.cut and need.unit == "m", most=offer.stock if in_stock else None,
    )  # fmt: skip


def labelled(data: Mapping[str, Any], mark: str) -> dict[str, Any]:
    """Design data with its pieces to cut marked as one machine's: "2/14a"."""
    buying = [
        {
            **line,
            "cuts": [
                {**cut, "pieces": [{**piece, "name": f"{mark}/{piece['name']}"} for piece in cut["pieces"]]}
                for cut in line["cuts"]
            ],
        }
        for line in data["buying"]
    ]
    return {**data, "buying": buying}


def shop(
    needs: Sequence[Need], matching: Matching, *, in_stock: bool
) -> tuple[list[Wish], list[Ware], dict[str, Offer]]:
    """Needs and offers as the basket takes them, and the offer behind each ware."""
    by_key = {one.key: one.offers for one in matching.matches}
    wishes, wares, behind = [], {}, {}
    for need in needs:
        mine = []
        for offer in by_key.get(need.key, ()):
            ware = ware_of(offer, need, in_stock=in_stock)
            if ware is not None:
                wares[ware.id], behind[ware.id] = ware, offer
                mine.append(ware.id)
        if need.unit == "m":
            whole = tuple(marks(length, up=True) for _, length in need.pieces)
            wishes.append(Wish(need.key, tuple(mine), marks(need.amount, up=True), whole))
        else:
            wishes.append(Wish(need.key, tuple(mine), ceil(need.amount)))
    return wishes, list(wares.values()), behind


def suppliers_of(lists: Sequence[PriceList]) -> list[Supplier]:
    """What an order with each supplier takes."""
    return [Supplier(one.supplier, to_cents(one.order_charge), to_cents(one.least_order)) for one in lists]


def need_words(need: Need) -> str:
    """A need in words: "wire, GXL, 14 AWG, RD"."""
    return ", ".join(filter(None, (need.item, need.size, need.colour)))


def amount_words(need: Need) -> str:
    """How much of it: "3.25 m in 4 pieces", "12"."""
    if need.unit == "each":
        return f"{ceil(need.amount)}"
    count = len(need.pieces)
    pieces = f" in {count} piece{'s' if count != 1 else ''}" if count else ""
    return f"{need.amount.normalize():f} m{pieces}"


def _cut_words(need: Need, basket: Basket, wares: Mapping[str, Ware], name: str) -> tuple[str, ...]:
    """What to cut from each length of one ware, longest first."""
    lengths, origin = [], {}
    for (key, other), count in basket.shares.items():
        ware = wares[other]
        if key != need.key or not count:
            continue
        amount = ware.amount * count if ware.to_length else ware.amount
        stock = Stock(other, amount, 0, 1 if ware.to_length else count)
        lengths.append(stock)
        origin[other] = stock
    waiting: dict[int, list[str]] = {}
    for piece, length in need.pieces:
        waiting.setdefault(marks(length, up=True), []).append(piece)
    cuts = cuts_from([length for length, names in waiting.items() for _ in names], lengths)
    if cuts is None:
        return ()
    found = []
    for cut in cuts:
        names = [waiting[one].pop(0) for one in cut.pieces]
        told = _named(names, cut.pieces) if need.group == "wire" else _counted(cut.pieces)
        if cut.stock.name == name:
            of = f"{Decimal(cut.stock.length) / MARKS_PER_M:f}"
            left = f"{Decimal(cut.left) / MARKS_PER_M:f}"
            found.append(f"from {of} m: {told}; {left} m left")
    return tuple(found)


def _named(names: Sequence[str], pieces: Sequence[int]) -> str:
    return ", ".join(
        f"{name} {Decimal(one) / MARKS_PER_M:f} m" for name, one in zip(names, pieces, strict=True)
    )


def _counted(pieces: Sequence[int]) -> str:
    """Of heat-shrink and covering the lengths are enough: which piece goes where is settled at the bench."""
    return ", ".join(f"{count} x {Decimal(one) / MARKS_PER_M:f} m" for one, count in Counter(pieces).items())


def _held(ware: Ware, need: Need, basket: Basket) -> int:
    """How much of a ware goes to a need, in pieces or marks."""
    count = basket.shares.get((need.key, ware.id), 0)
    return count * ware.amount if need.pieces else count


def _line(ware: Ware, offer: Offer, basket: Basket, needs: Sequence[Need], wares: Mapping[str, Ware]) -> Line:
    count = basket.counts[ware.id]
    mine = [need for need in needs if basket.shares.get((need.key, ware.id))]
    shares: dict[str, Fraction] = {}
    used = 0
    for need in mine:
        held = _held(ware, need, basket)
        used += held
        whole = sum(need.by_machine.values()) or Decimal(1)
        for machine, amount in need.by_machine.items():
            shares[machine] = shares.get(machine, Fraction(0)) + held * Fraction(amount) / Fraction(whole)
    cents = basket.line_cents[ware.id]
    over = count * ware.amount - used
    by_length = bool(mine) and mine[0].unit == "m"
    surplus = f"{Decimal(over) / MARKS_PER_M:f} m" if by_length else f"{over}"
    return Line(
        offer.supplier, offer.part_number, offer.description, offer.sold_as, offer.shelf, offer.stock,
        offer.lead_days, offer.tax_class, count, tier_of(ware, count).price, cents,
        tuple(need_words(need) for need in mine),
        tuple(text for need in mine if need.pieces for text in _cut_words(need, basket, wares, ware.id)),
        surplus if over and not (mine and mine[0].pieces) else "",
        shared_out(cents, shares) if shares else {}, mine[0].group if mine else "",
    )  # fmt: skip


def orders_of(
    basket: Basket, needs: Sequence[Need], wares: Sequence[Ware], behind: Mapping[str, Offer],
    suppliers: Sequence[Supplier],
) -> tuple[Order, ...]:  # fmt: skip
    """The basket as one order for each supplier, its lines by part number."""
    by_id = {ware.id: ware for ware in wares}
    serving: dict[str, list[Need]] = {}
    named = {need.key: need for need in needs}
    for key, name in basket.shares:
        serving.setdefault(name, []).append(named[key])
    found = []
    for one in suppliers:
        lines = [
            _line(by_id[name], behind[name], basket, serving.get(name, []), by_id)
            for name in basket.counts
            if by_id[name].supplier == one.name
        ]
        if lines:
            lines.sort(key=lambda line: natural(line.part_number))
            found.append(Order(one.name, tuple(lines), one.charge_cents, one.least_cents))
    return tuple(found)


def taxes_of(
    orders: Sequence[Order], rates: Mapping[str, Decimal], freight_cents: int = 0
) -> tuple[Tax, ...]:
    """Tax by class on the sum of its lines, a half cent rounded up; no rates: no taxes.

    Order charges and freight fall under 'standard', or under the first class given where none is named so.
    Raises NoRate, naming every class without one.
    """
    if not rates:
        return ()
    known = {name.casefold(): name for name in rates}
    usual = known.get(STANDARD, next(iter(rates)))
    bases: dict[str, int] = {}
    lacking: dict[str, str] = {}
    for order in orders:
        for line in order.lines:
            word = line.tax_class or usual
            if word.casefold() not in known:
                lacking.setdefault(word, f"{word!r} (as {line.part_number} of {line.supplier})")
                continue
            bases[known[word.casefold()]] = bases.get(known[word.casefold()], 0) + line.cents
        if order.charge_cents:
            bases[usual] = bases.get(usual, 0) + order.charge_cents
    if freight_cents:
        bases[usual] = bases.get(usual, 0) + freight_cents
    if lacking:
        raise NoRate(lacking)
    return tuple(
        Tax(name, rates[name], base, to_cents(Decimal(base) / 100 * rates[name] / 100), name == usual)
        for name, base in bases.items()
    )


def tax_class_of(line: Line, rates: Sequence[Tax]) -> str:
    """The class a line is taxed under, as the rates name it; what the list says where there are none."""
    if not rates:
        return line.tax_class
    known = {tax.tax_class.casefold(): tax.tax_class for tax in rates}
    return known.get((line.tax_class or STANDARD).casefold(), usual_class(rates))


def usual_class(rates: Sequence[Tax]) -> str:
    """The class of order charges and of lines without one."""
    return next((tax.tax_class for tax in rates if tax.usual), STANDARD if not rates else rates[0].tax_class)


def by_machine(orders: Sequence[Order], machines: Sequence[str], freight_cents: int = 0) -> dict[str, int]:
    """Goods, charges and freight allotted to machines, whole cents that add up: in proportion to goods."""
    goods = dict.fromkeys(machines, 0)
    for order in orders:
        for line in order.lines:
            for name, cents in (
                line.by_machine or shared_out(line.cents, dict.fromkeys(machines, 1))
            ).items():
                goods[name] += cents
    charges = shared_out(freight_cents + sum(order.charge_cents for order in orders), goods)
    return {name: goods[name] + charges[name] for name in machines}


def open_of(needs: Sequence[Need], matching: Matching, missing: Sequence[str]) -> tuple[Open, ...]:
    """What the counter cannot supply, with why and the nearest lines."""
    why = {one.key: one for one in matching.unmatched}
    found = []
    for need in needs:
        if need.key not in missing:
            continue
        near = why.get(need.key)
        offers = matching.offers(need.key)
        reason = near.why if near else "not so many in stock, or no length long enough"
        candidates = [
            f"{one.offer.supplier} {one.offer.part_number}: {one.offer.description}"
            + (f" ({'; '.join(one.why)})" if one.why else "")
            for one in (near.candidates if near else ())
        ] or [f"{one.supplier} {one.part_number}: {one.description}" for one in offers]
        found.append(Open(need.key, need_words(need), amount_words(need), reason, tuple(candidates)))
    return tuple(found)


def basket_of(
    needs: Sequence[Need], matching: Matching, lists: Sequence[PriceList], *, in_stock: bool = False,
    one_supplier: bool = False,
) -> Basket:  # fmt: skip
    """The cheapest basket of all lists, or of the one supplier who is cheapest."""
    wishes, wares, _ = shop(needs, matching, in_stock=in_stock)
    suppliers = suppliers_of(lists)
    if one_supplier:
        return _cheapest_single([cheapest(wishes, wares, [one]) for one in suppliers])
    return cheapest(wishes, wares, suppliers)


def _cheapest_single(baskets: Iterable[Basket]) -> Basket:
    return min(baskets, key=lambda one: (len(one.missing), one.cents))


def separately(
    alone: Mapping[str, Sequence[Need]], matching: Matching, lists: Sequence[PriceList], *, in_stock: bool
) -> Compared:
    """Every line of every machine bought by itself where it is cheapest, with the charge of each order."""
    suppliers = suppliers_of(lists)
    free = [Supplier(one.name) for one in suppliers]
    cents, missing, used = 0, dict[str, None](), set()
    for needs in alone.values():
        wishes, wares, _ = shop(needs, matching, in_stock=in_stock)
        supplier = {ware.id: ware.supplier for ware in wares}
        for wish in wishes:
            found = cheapest([wish], [ware for ware in wares if ware.id in wish.wares], free)
            cents += found.goods_cents
            missing |= dict.fromkeys(found.missing)
            used |= {supplier[name] for name in found.counts}
    cents += sum(one.charge_cents for one in suppliers if one.name in used)
    return Compared(
        "each line of each machine bought by itself", cents, len(missing), "least orders not looked at"
    )


def quote(
    alone: Mapping[str, Sequence[Need]],
    needs: Sequence[Need],
    matching: Matching,
    lists: Sequence[PriceList],
    *,
    heading: Heading,
    program: str,
    machines: Sequence[tuple[str, str]],
    letter: bool,
    rates: Mapping[str, Decimal],
    in_stock: bool = False,
    one_supplier: bool = False,
    freight: Decimal = Decimal(0),
) -> Quote:
    """The quote for all machines: the cheapest split over the suppliers, or the cheapest single one.

    ``alone``: the needs of each machine; ``needs``: all of them together. ``freight``: as it is charged,
    without tax; it changes no choice. Raises NoRate and TooManySuppliers.
    """
    wishes, wares, behind = shop(needs, matching, in_stock=in_stock)
    suppliers = suppliers_of(lists)
    single = {one.name: cheapest(wishes, wares, [one]) for one in suppliers}
    best = _cheapest_single(single.values())
    split = cheapest(wishes, wares, suppliers) if len(suppliers) > 1 else best
    chosen = best if one_supplier else split
    compared = [
        Compared(f"all from {name}", found.cents, len(found.missing)) for name, found in single.items()
    ]
    if len(suppliers) > 1:
        compared.append(Compared("split over the suppliers", split.cents, len(split.missing)))
    compared.append(separately(alone, matching, lists, in_stock=in_stock))
    orders = orders_of(chosen, needs, wares, behind, suppliers)
    currencies = {one.currency for one in lists} - {""}
    return Quote(
        heading, program, tuple(machines), letter, next(iter(currencies), ""), orders,
        taxes_of(orders, rates, to_cents(freight)),
        bool(rates), open_of(needs, matching, chosen.missing), tuple(compared),
        by_machine(orders, [name for name, _ in machines], to_cents(freight)), (), chosen.proven,
        chosen.bound_cents, _notes(orders, behind, in_stock=in_stock), to_cents(freight),
    )  # fmt: skip


def _notes(orders: Sequence[Order], behind: Mapping[str, Offer], *, in_stock: bool) -> tuple[str, ...]:
    found = []
    cut = [line.part_number for order in orders for line in order.lines if line.sold_as.startswith("by the ")]
    if cut:
        found.append(
            f"cut to length, so usually not taken back (common practice): {', '.join(cut)}; check these first"
        )
    unknown = sum(offer.stock is None for offer in behind.values())
    if in_stock and unknown:
        found.append(f"{unknown} lines say nothing of stock and are taken as in stock")
    return tuple(found)
