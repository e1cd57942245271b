"""The page's colours and type, as Streamlit's options name them."""

from __future__ import annotations

TEAL, AMBER, PLUM = "#0B7A75", "#D98200", "#6A3D8F"
"""Board line (solid), body outline (dashed), line of the weight (dotted)."""
INK, PAPER, SHADE, RULE = "#22282B", "#FCFBF8", "#F1EEE6", "#D9D4C7"
QUIET, TINT = "#5E676B", "#E6F1EF"

OPTIONS: dict[str, str | bool | int] = {
    "theme.base": "light",
    "theme.primaryColor": TEAL,
    "theme.backgroundColor": PAPER,
    "theme.secondaryBackgroundColor": SHADE,
    "theme.textColor": INK,
    "theme.linkColor": TEAL,
    "theme.borderColor": RULE,
    "theme.showWidgetBorder": True,
    "theme.font": "sans-serif",
    "theme.headingFont": "serif",
    "theme.baseFontSize": 17,
    "theme.baseRadius": "6px",
    "theme.blueBackgroundColor": TINT,
    "theme.blueTextColor": INK,
    "theme.yellowBackgroundColor": "#FBF0DC",
    "theme.yellowTextColor": INK,
    "theme.redBackgroundColor": "#F8E6E3",
    "theme.redTextColor": INK,
}

ICON = f"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">
<path d="M4 58 L60 36" stroke="{TEAL}" stroke-width="8" stroke-linecap="round"/>
<rect x="24" y="4" width="20" height="40" rx="3" fill="{AMBER}" transform="rotate(-21 34 44)"/>
</svg>"""

STYLE = f"""
<style>
.block-container {{ max-width: 68rem; padding-top: 4.5rem; padding-bottom: 4rem; }}
h1, h2, h3 {{ letter-spacing: -0.01em; }}
[data-testid="stMetricValue"] {{ font-family: "Source Serif", Georgia, serif; color: {INK}; }}
[data-testid="stMetricLabel"] {{ color: {QUIET}; }}
[data-testid="stImage"] img {{ border: 1px solid {RULE}; border-radius: 6px; }}
/* A table saved so would hand a name such as =1+1 to a spreadsheet as a formula. */
[data-testid="stElementToolbarButtonContainer"] button[aria-label="Download as CSV"] {{
  display: none;
}}
@media (max-width: 640px) {{
  .block-container {{ padding-left: 1rem; padding-right: 1rem; padding-top: 4rem; }}
  [data-testid="stMetricValue"] {{ font-size: 1.6rem; }}
}}
</style>
"""
