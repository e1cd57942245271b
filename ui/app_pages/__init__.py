"""The pages; `ui.app` is their frame."""
