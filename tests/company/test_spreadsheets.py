"""Workbooks: read back by their own reader and by the bare XML of ECMA-376, and refused if odd."""

from __future__ import annotations

import io
import zipfile
from datetime import date, time, timedelta
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from company.spreadsheets import NotAWorkbook, Sheet, read_workbook, write_workbook

HEADER = ("name", "number", "day", "length")
ROW = ("grey", 3, date(2026, 3, 4), timedelta(seconds=270))


def book(*rows, header=HEADER):
    return write_workbook([Sheet("plot", header, rows)])


def read(data: bytes) -> list[list[str]]:
    return read_workbook(data, 1000)["plot"].rows


def opened(data: bytes):
    return openpyxl.load_workbook(io.BytesIO(data))["plot"]


def test_head_stays_in_view_and_columns_are_as_wide_as_what_they_hold():
    page = opened(book(ROW, ("a name of forty letters, or nearly so, ends", 1, None, None)))

    assert page.freeze_panes == "A2"
    assert page.auto_filter.ref == "A1:D3"
    assert page["A1"].font.bold
    assert page.column_dimensions["A"].width == 44
    assert page.column_dimensions["B"].width == 8


def test_numbers_days_and_durations_are_such():
    page = opened(book(ROW))

    name, number, day, length = (cell for cell in page[2])
    assert (name.data_type, number.data_type, number.value) == ("s", "n", 3)
    assert (day.is_date, day.value.date()) == (True, date(2026, 3, 4))
    assert (length.number_format, length.value) == ("[m]:ss", timedelta(seconds=270))
    assert read(book(ROW))[1] == ["grey", "3", "2026-03-04", "4:30"]


@pytest.mark.parametrize(
    "text", ["=1+1", "+49 170", "-x", "@SUM(A1)", '=HYPERLINK("//x")', "'=x", "=\tx", "-0:30"]
)
def test_text_that_begins_like_a_formula_is_text(text):
    data = book((text, None, None, None))
    cell = opened(data)["A2"]

    assert (cell.data_type, cell.value) == ("s", text)
    assert cell.quotePrefix == (text[0] in "=+-@")
    xml = zipfile.ZipFile(io.BytesIO(data)).read("xl/worksheets/sheet1.xml").decode()
    assert "<f>" not in xml
    assert read(data)[1] == [text]


def test_duration_below_nought_is_text_because_no_sheet_can_show_one():
    data = book(("x", None, None, timedelta(seconds=-20)))

    assert opened(data)["D2"].value == "-0:20"
    assert read(data)[1][3] == "-0:20"


@given(
    st.lists(
        st.lists(
            st.text(
                st.characters(exclude_categories=["Cs", "Cc"], include_characters="\r\n\t"),
                max_size=12,
            ).map(str.strip),
            min_size=2,
            max_size=2,
        ),
        max_size=6,
    )
)
@settings(deadline=None)
def test_text_is_read_back_as_it_was_written(rows):
    while rows and not any(rows[-1]):
        rows.pop()
    found = read(book(*rows, header=("a", "b")))[1:]

    assert [row + [""] * (2 - len(row)) for row in found] == rows


def typed_book(**cells):
    made = openpyxl.Workbook()
    page = made.active
    page.title = "plot"
    for at, value in cells.items():
        page[at] = value
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (3.0, "3"),
        (4.5, "4.5"),
        (True, "yes"),
        (False, "no"),
        (time(4, 30), "4:30"),  # typed as 4:30, which spreadsheets take for half past four
        (time(0, 4, 30), "4:30"),
        (Decimal("0.85"), "0.85"),
        (" 3a ", " 3a "),
    ],
)
def test_what_people_type_comes_as_we_write_it(value, text):
    assert read(typed_book(A1=value)) == [[text]]


def test_duration_in_hours_and_minutes_is_meant_as_minutes_and_seconds():
    made = openpyxl.Workbook()
    made.active.title = "plot"
    made.active["A1"] = timedelta(hours=30, minutes=15)
    made.active["A1"].number_format = "[h]:mm"
    out = io.BytesIO()
    made.save(out)

    assert read(out.getvalue()) == [["30:15"]]


def test_formula_that_was_never_worked_out_is_said_with_its_cell():
    sheet = read_workbook(typed_book(A1="scene", B1="minutes", A2="1", B2="=2+2"), 10)["plot"]

    assert sheet.faults == [
        (2, "B2 holds a formula that was never worked out: paste its value instead")
    ]


def test_formula_that_was_worked_out_gives_its_value():
    packed = zipfile.ZipFile(io.BytesIO(typed_book(A1="=2+2")))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as anew:
        for name in packed.namelist():
            data = packed.read(name)
            if name.endswith("sheet1.xml"):
                data = data.replace(b"<v></v>", b"<v>4</v>").replace(b"<v />", b"<v>4</v>")
            anew.writestr(name, data)

    sheet = read_workbook(out.getvalue(), 10)["plot"]
    assert (sheet.rows, sheet.faults) == ([["4"]], [])


def test_no_more_rows_are_read_than_asked():
    made = book(*[("x", 1, None, None)] * 50)

    assert len(read_workbook(made, 11)["plot"].rows) == 11


def packed(**files: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in files.items():
            made.writestr(name.replace("__", "."), data)
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is not a workbook"),
        (b"scene,minutes\n1,4\n", "is not a workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"0" * 600, "is an old .xls or locked"),
        (packed(mimetype=b"x", content__xml=b"<x/>"), "is an OpenDocument sheet"),
        (packed(readme=b"x"), "is not a workbook"),
        (packed(**{"[Content_Types]__xml": b"<x/>"}), "cannot be read as a workbook"),
        (packed(**{"[Content_Types]__xml": b"0" * 201_000_000}), "holds far more than any plot"),
        (b"PK" + b"0" * 8_100_000, "is 8.1 MB; a workbook of a plot is at most 8 MB"),
    ],
    ids=["empty", "csv", "xls", "ods", "zip", "broken", "bomb", "large"],
)
def test_other_files_are_refused_in_words(data, words):
    with pytest.raises(NotAWorkbook, match=words):
        read_workbook(data, 10)
