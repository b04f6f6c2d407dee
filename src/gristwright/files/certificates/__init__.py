"""Certificates of lots as they come: tables in any order, headings in any words. See docs/certificates.md."""

from gristwright.files.certificates.columns import Column, column_of, near_fields
from gristwright.files.certificates.headings import Heading, read_heading, words
from gristwright.files.certificates.lot_lines import MAP_HINT, Gathered, make_lot
from gristwright.files.certificates.lots_in import Certificates, doubles, read_certificates, read_lots
from gristwright.files.certificates.lots_out import lots_table
from gristwright.files.certificates.mapping import ROLES, Mapping, read_mapping, write_mapping

__all__ = [
    "MAP_HINT",
    "ROLES",
    "Certificates",
    "Column",
    "Gathered",
    "Heading",
    "Mapping",
    "column_of",
    "doubles",
    "lots_table",
    "make_lot",
    "near_fields",
    "read_certificates",
    "read_heading",
    "read_lots",
    "read_mapping",
    "words",
    "write_mapping",
]
