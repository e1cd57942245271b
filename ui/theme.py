"""The page's colours and type, as Streamlit's options name them."""

from __future__ import annotations

TEAL, AMBER, PLUM = "#0B7A75", "#D98200", "#6A3D8F"
"""Board line (solid), body outline (dashed), line of the weight (dotted)."""
INK, PAPER, SHADE, RULE = "#22282B", "#FCFBF8", "#F1EEE6", "#D9D4C7"
QUIET = "#5E676B"

OPTIONS: dict[str, str] = {
    "theme.base": "light",
    "theme.primaryColor": TEAL,
    "theme.backgroundColor": PAPER,
    "theme.secondaryBackgroundColor": SHADE,
    "theme.textColor": INK,
    "theme.linkColor": TEAL,
    "theme.borderColor": RULE,
    "theme.showWidgetBorder": "true",
    "theme.font": "sans-serif",
    "theme.headingFont": "serif",
    "theme.baseFontSize": "17",
    "theme.baseRadius": "6px",
}

STYLE = f"""
<style>
.block-container {{ max-width: 68rem; padding-top: 3.5rem; padding-bottom: 4rem; }}
h1, h2, h3 {{ letter-spacing: -0.01em; }}
[data-testid="stMetricValue"] {{ font-family: "Source Serif", Georgia, serif; color: {INK}; }}
[data-testid="stMetricLabel"] {{ color: {QUIET}; }}
[data-testid="stImage"] img {{ border: 1px solid {RULE}; border-radius: 6px; }}
@media (max-width: 640px) {{
  .block-container {{ padding-left: 1rem; padding-right: 1rem; padding-top: 3rem; }}
  [data-testid="stMetricValue"] {{ font-size: 1.6rem; }}
}}
</style>
"""
