"""The values that pass between the steps: plain frozen dataclasses with no behaviour beyond themselves."""
