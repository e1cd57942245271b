"""Hand-outs: from a lesson to paper. Knows neither the page nor Streamlit."""
