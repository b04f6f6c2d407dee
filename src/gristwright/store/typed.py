"""Django's columns and forms take type arguments, as its managers and foreign keys do. See docs/desk.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django import forms
from django.db import models

# The checker knows `CharField[str, str]`; at run time Django has no `[]` on these, so it gives the class itself.
if not TYPE_CHECKING:
    for kind in (models.Field, forms.BaseModelForm, forms.BaseModelFormSet):
        kind.__class_getitem__ = classmethod(lambda of, _: of)
