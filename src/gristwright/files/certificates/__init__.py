"""Certificates of lots as they come: tables in any order, headings in any words. See docs/certificates.md."""

from gristwright.files.certificates.columns import Column, column_of, near_fields
from gristwright.files.certificates.headings import Heading, read_heading, words
from gristwright.files.certificates.lot_lines import MAP_HINT, Gathered, make_lot
from gristwright.files.certificates.lots_in import Certificates, doubles, read_certificates, read_lots
from gristwright.files.certificates.lots_out import lots_table
from gristwright.files.certificates.lots_toml import lots_schema
from gristwright.files.certificates.mapping import ROLES, Mapping, read_mapping, write_mapping
from gristwright.files.certificates.maps import OF_THE_DESK, Found, file_name_of, fitting, map_folders, maps_in
from gristwright.files.certificates.whose import HEADINGS, headings_of, key_of, names, supplier_of, texts_of

__all__ = [
    "HEADINGS",
    "MAP_HINT",
    "OF_THE_DESK",
    "ROLES",
    "Certificates",
    "Column",
    "Found",
    "Gathered",
    "Heading",
    "Mapping",
    "column_of",
    "doubles",
    "file_name_of",
    "fitting",
    "headings_of",
    "key_of",
    "lots_schema",
    "lots_table",
    "make_lot",
    "map_folders",
    "maps_in",
    "names",
    "near_fields",
    "read_certificates",
    "read_heading",
    "read_lots",
    "read_mapping",
    "supplier_of",
    "texts_of",
    "words",
    "write_mapping",
]
