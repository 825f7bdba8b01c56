"""The pages. A view takes a form, calls one step, fills one page object and renders it."""
