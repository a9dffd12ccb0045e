"""What is no workbook and no plan is refused in a sentence that says what it is instead."""

import io
import json
import zipfile

import pytest

from stationflow.errors import SourceError
from stationflow.files.plan_document import read_plan_document
from stationflow.files.product.workbook import read_workbook


def zipped(**parts: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, data in parts.items():
            packed.writestr(name.replace("__", "/").replace("_xml", ".xml"), data)
    return out.getvalue()


# Signatures: [MS-CFB] 2.2 for compound files; ODF 1.3 part 2, 3.3 for the part "mimetype".
@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "the file is empty"),
        (b"number,time_s\n", "it is not a workbook"),
        (bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600), "old format"),
        (zipped(mimetype=b"application/vnd.oasis.opendocument.spreadsheet"), "OpenDocument"),
        (zipped(word__document_xml=b"<w/>"), "word processor's document"),
        (zipped(xl__workbook_xml=b"<"), "its part 'xl/workbook.xml' cannot be read"),
    ],
)
def test_a_file_that_is_no_workbook_is_told_what_it_is(data: bytes, said: str):
    with pytest.raises(SourceError, match=said):
        read_workbook(data)


@pytest.mark.parametrize("data", [zipped(), zipped(a_xml=b"<a/>"), zipped(xl__workbook_xml=b"<")])
def test_no_word_of_a_program_stands_in_the_sentence(data: bytes):
    with pytest.raises(SourceError) as refused:
        read_workbook(data)
    assert "Error" not in str(refused.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "It is empty"),
        ("stations: 3", "in line 1 from character 1 on"),
        ('{"line": "main",\n "stations": [}', "in line 2 from character 15 on"),
        ("[" * 100_000, "deeper inside each other"),
        ('{"line": ' + "9" * 5_000 + "}", "more digits than can be read"),
    ],
)
def test_a_plan_that_is_no_json_is_told_in_a_sentence(text: str, said: str):
    _, findings = read_plan_document(text)
    assert said in findings[0].message


def test_a_plan_in_another_encoding_is_told_in_a_sentence(tmp_path):
    file = tmp_path / "plan.json"
    file.write_bytes(json.dumps({"line": "Prüfung"}, ensure_ascii=False).encode("utf-16"))
    assert "not UTF-8" in read_plan_document(file)[1][0].message
