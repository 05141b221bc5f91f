"""A comparison's lines as markup: which are headings, which are items, and that no text is markup."""

from __future__ import annotations

from harness.keeping.changes import markup


def test_lines_become_headings_and_items_and_stay_texts() -> None:
    lines = [
        "old: <b>a</b>",
        "",
        "Wires (2)",
        "  * wire 1: a & b",
        "  - wire 2",
        "",
        "",
        "Fuses (1)",
        "  + F1",
    ]
    assert markup(lines) == "\n".join(
        [
            "<p>old: &lt;b&gt;a&lt;/b&gt;</p>",
            "<h2>Wires (2)</h2>",
            '<ul class="changes"><li>* wire 1: a &amp; b</li><li>- wire 2</li></ul>',
            "<h2>Fuses (1)</h2>",
            '<ul class="changes"><li>+ F1</li></ul>',
        ]
    )
