"""The shop book: one document for the bench, as a page for any browser and as paper."""
