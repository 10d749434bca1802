"""A sheet as one HTML page: no script, nothing from outside, made for A4 and Letter paper. Every text is escaped here, once."""

from __future__ import annotations

from assistant.sheet import escape
from assistant.sheet.picture import svg
from assistant.sheet.record import Block, Chart, Items, Pairs, Section, Sheet, Table, Talk, Text

_STYLE = """
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;max-width:190mm;padding:8mm;font:10pt/1.35 system-ui,"Segoe UI","Helvetica Neue",Arial,"DejaVu Sans",sans-serif;color:#111;background:#fff}
h1{font-size:17pt;line-height:1.2;margin:0 0 1mm}
h2{font-size:12pt;margin:4.5mm 0 1.2mm;padding-bottom:.8mm;border-bottom:.4mm solid #111;break-after:avoid}
p{margin:0 0 1.5mm;overflow-wrap:anywhere}
.sub,.small,footer{color:#444;font-size:9pt}
.lead{font-size:12.5pt;font-weight:700}
section:first-of-type{border:.5mm solid #111;padding:2.5mm 4mm;margin-top:4mm;break-inside:avoid}
section:first-of-type h2{margin:0 0 1mm;border:0;font-size:9.5pt;text-transform:uppercase;letter-spacing:.06em;padding:0;color:#444}
table{border-collapse:collapse;width:100%;font-size:8.8pt;line-height:1.28;margin:1mm 0 2mm}
p+table,p+ol,p+ul,p+dl{break-before:avoid}td small{color:#444;font-size:7.8pt}
th,td{text-align:left;vertical-align:top;padding:.7mm 1.4mm;border-bottom:.2mm solid #bbb;overflow-wrap:break-word}
th{border-bottom:.3mm solid #111;font-weight:600;overflow-wrap:normal;white-space:nowrap}
td.n,th.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
tr,li,.talk,figure,table.keep{break-inside:avoid}
thead{display:table-header-group}
dl{display:grid;grid-template-columns:minmax(35mm,auto) 1fr;gap:.6mm 4mm;margin:1mm 0 2mm}
dt{color:#444}dd{margin:0;overflow-wrap:anywhere}
ul,ol{margin:1mm 0 2mm;padding-left:6mm}li{margin-bottom:.8mm;overflow-wrap:anywhere}
ul.box,ul.caution{list-style:none;padding-left:0}
ul.box li::before{content:"";display:inline-block;width:3.2mm;height:3.2mm;border:.3mm solid #111;margin-right:2mm;vertical-align:-.3mm}
ul.caution li{border-left:1.2mm solid #b00020;padding-left:2.5mm}
.talk{margin:0 0 2mm}.talk .asked,.talk .got{color:#444;font-size:9pt;margin:0}
.talk blockquote{margin:.3mm 0;padding-left:3mm;border-left:.8mm solid #999;overflow-wrap:anywhere}
figure{margin:3mm 0 2mm}figcaption{font-size:9pt;font-weight:600;margin-bottom:1mm}svg{width:100%;height:auto;font-family:inherit}
footer{margin-top:7mm;border-top:.2mm solid #999;padding-top:1.5mm}
@page{margin:13mm 13mm 14mm}
@media screen{section{overflow-x:auto}}
@media print{body{padding:0;max-width:none;font-size:9.5pt}td{overflow-wrap:anywhere}}
"""

_KEPT = 4  # rows: a table of no more is not torn apart between two pages


def to_page(sheet: Sheet) -> str:
    """The whole page, ending with a line end."""
    body = "".join(_section(s) for s in sheet.sections)
    foot = "".join(f"<p>{escape.html(text)}</p>" for text in sheet.foot)
    sub = f'<p class="sub">{escape.html(sheet.subtitle)}</p>' if sheet.subtitle else ""
    return ('<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
            "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
            '<meta name="viewport" content="width=device-width, initial-scale=1"><meta name="referrer" content="no-referrer">'
            f"<title>{escape.html(sheet.title)}</title><style>{_STYLE}</style></head>\n<body><h1>{escape.html(sheet.title)}</h1>{sub}\n"
            f"{body}<footer>{foot}</footer></body></html>\n")


def _section(section: Section) -> str:
    return f"<section><h2>{escape.html(section.title)}</h2>{''.join(_block(b) for b in section.blocks)}</section>\n"


def _block(block: Block) -> str:
    if isinstance(block, Text):
        style = f' class="{block.style}"' if block.style in ("lead", "small") else ""
        return f"<p{style}>{escape.html(block.text)}</p>"
    if isinstance(block, Items):
        tag = "ol" if block.style == "numbered" else "ul"
        style = f' class="{block.style}"' if block.style in ("box", "caution") else ""
        return f"<{tag}{style}>{''.join(f'<li>{escape.html(i)}</li>' for i in block.items)}</{tag}>"
    if isinstance(block, Pairs):
        return "<dl>" + "".join(f"<dt>{escape.html(a)}</dt><dd>{escape.html(b)}</dd>" for a, b in block.rows) + "</dl>"
    if isinstance(block, Table):
        return _table(block)
    if isinstance(block, Talk):
        asked = f' &middot; asked: {escape.html(block.asked)}' if block.asked else ""
        got = f'<p class="got">{escape.html(block.understood)}</p>' if block.understood else ""
        return (f'<div class="talk"><p class="asked">Message {block.number}{asked}</p>'
                f"<blockquote>{escape.html_lines(block.said)}</blockquote>{got}</div>")
    assert isinstance(block, Chart)
    return f"<figure><figcaption>{escape.html(block.caption)}</figcaption>{svg(block)}</figure>"


def _table(table: Table) -> str:
    style = lambda i: ' class="n"' if i in table.numbers else ""  # noqa: E731
    head = "".join(f"<th{style(i)}>{escape.html(h)}</th>" for i, h in enumerate(table.head))
    rows = "".join("<tr>" + "".join(f"<td{style(i)}>{_cell(c)}</td>" for i, c in enumerate(row)) + "</tr>" for row in table.rows)
    keep = ' class="keep"' if len(table.rows) <= _KEPT else ""
    return f"<table{keep}><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _cell(text: str) -> str:
    """A cell; what stands on further lines is smaller."""
    first, *more = escape.lines(text)
    return escape.html(first) + "".join(f"<br><small>{escape.html(line)}</small>" for line in more)
