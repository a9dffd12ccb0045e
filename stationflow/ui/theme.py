"""How the pages look, in light and in dark."""

from collections.abc import Mapping

import streamlit as st

from stationflow.drawing.palette import ON_DARK, ON_PAPER, Inks

PRIMARY_FILL = "#0b6f93"
PRIMARY_FILL_POINTED = "#095a78"
"""Fill of the button a page is about, resting and pointed at: white words read on both, and
the fill stands out from the light and from the dark ground."""

STYLE = f"""
.stMainBlockContainer {{padding: 4rem 2.5rem 3rem 2.5rem; max-width: 2400px; position: relative}}
h1 {{font-size: 1.75rem !important; padding: 0 !important}}
h3 {{font-size: 1.2rem !important}}
.st-key-undo-keys, [class*="st-key-for-window-"], [class*="st-key-saver-"],
[class*="st-key-hands-"] {{
  position: absolute; width: 0; overflow: hidden; pointer-events: none}}
.st-key-wide-chart {{overflow-x: auto}}
.st-key-card-pages img {{outline: 1px solid #84939b}}
[data-testid="stSelectbox"] input {{text-overflow: ellipsis}}
[data-testid="stToastContainer"] {{top: auto; bottom: 1rem}}
[data-testid="stMainMenuItem-recordScreencast"],
[data-testid="stMainMenuPopover"] > div > :not([data-testid="stMainMenuList"]) {{display: none}}
:has(> .st-key-jobs-quiet) {{position: absolute; top: 6.2rem; left: 22rem; width: auto;
  max-width: calc(100% - 51rem); z-index: 2}}
.st-key-jobs-quiet {{width: auto; max-width: 100%; font-variant-numeric: tabular-nums}}
.st-key-jobs-quiet p {{font-size: 0.75rem; margin: 0; white-space: nowrap; overflow: hidden;
  text-overflow: ellipsis}}
[class*="st-key-number-"] {{position: relative; padding: .55rem .8rem .45rem .8rem; gap: 0}}
[class*="st-key-number-"] [data-testid="stMetricLabel"] {{padding-right: 1.1rem}}
[class*="st-key-number-small-"] [data-testid="stMetricValue"] {{font-size: 1.1rem !important}}
[class*="st-key-number-"] > :has([data-testid="stPopover"]) {{position: absolute; inset: 0}}
[class*="st-key-number-"] [data-testid="stPopover"],
[class*="st-key-number-"] [data-testid="stPopover"] > div {{height: 100%}}
[class*="st-key-number-"] [data-testid="stPopover"] button {{
  position: absolute; inset: 0; height: 100%; min-height: 0; padding: .45rem; border: none;
  background: transparent; align-items: flex-start; justify-content: flex-end}}
[class*="st-key-number-"] [data-testid="stPopover"] button p {{font-size: 0}}
[class*="st-key-number-"] [data-testid="stPopover"] button:hover {{background: #8080801a}}
[class*="st-key-number-"] button:not(:hover, :focus) [data-testid="stIconMaterial"] {{
  opacity: .45}}
[data-testid="stPopoverBody"] p {{font-size: .93rem}}
[data-testid="stPopoverBody"]:has(p strong) {{max-width: min(40rem, 90vw)}}
[data-testid="stDataFrame"] > [data-testid="stElementToolbar"] {{top: 0 !important; left: 100%;
  right: auto; width: 2rem; height: auto; padding: 0}}
[data-testid="stDataFrame"] > [data-testid="stElementToolbar"] > div {{flex-direction: column;
  gap: .25rem; padding: .25rem 0; align-items: center}}
[data-testid="stMetricValue"] {{font-variant-numeric: tabular-nums; font-size: 1.6rem}}
[data-testid^="stBaseButton-primary"]:enabled, [data-testid="stMultiSelect"] [data-tag] {{
  background: {PRIMARY_FILL} !important; border-color: {PRIMARY_FILL} !important; color: #fff}}
[data-testid^="stBaseButton-primary"]:enabled:hover {{
  background: {PRIMARY_FILL_POINTED} !important; border-color: {PRIMARY_FILL_POINTED} !important}}
"""

LINKS = '[data-testid="stTopNav"] > .rc-overflow-item'
GROUP_STYLE = f"""
{LINKS} {{position: relative; padding: .9rem 0 0 0}}
{LINKS}::before {{position: absolute; top: 0; font-size: .7rem; letter-spacing: .04em;
  opacity: .75; white-space: nowrap}}
{LINKS} a {{padding: .1rem .55rem}}
"""


def apply() -> None:
    """Set what the configuration file cannot."""
    st.html(f"<style>{STYLE}</style>")


def group_links(groups: Mapping[str, int]) -> None:
    """Write the name of each group above the first of its links, with a line between groups."""
    rules, first = [GROUP_STYLE], 1
    for name, pages in groups.items():
        item = f"{LINKS}:nth-child({first})"
        rules.append(f'{item}::before {{content: "{name}"; left: .6rem}}')
        if first > 1:
            apart = "padding-left: .7rem; margin-left: .7rem; border-left: 1px solid #8496a055"
            rules.append(f"{item} {{{apart}}}")
            rules.append(f"{item}::before {{left: 1.3rem}}")
        first += pages
    st.html(f"<style>{''.join(rules)}</style>")


def chart_inks() -> Inks:
    """Return the colours of a chart on the ground that the reader has chosen."""
    return ON_DARK if st.context.theme.type == "dark" else ON_PAPER
