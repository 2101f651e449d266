"""The machine outputs of a night, read back by general libraries: a data-frame library and a JUnit reader."""

import csv
import datetime
import os
import pathlib
import subprocess

import junitparser
import pyarrow
import pyarrow.parquet
import pytest
import xmlschema

TOP = pathlib.Path(__file__).resolve().parents[2]
BUILT_IN = TOP / "fixtures" / "scenarios" / "built-in" / "school-field.toml"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    top = tmp_path_factory.mktemp("night")
    # `[expect]` may stand in the scenario already; a table stands once in a file.
    text = BUILT_IN.read_text().split("[expect]")[0]
    (top / "night.toml").write_text(text + '\n[expect]\nin_field = ">= 1 %"\nmiss_p95 = "<= 1 arcsec"\n')
    binary = os.environ.get("NIGHTBENCH_BIN", str(TOP / "target" / "release" / "nightbench"))
    played = subprocess.run([binary, "night", "night.toml", "--quiet"], cwd=top, timeout=60)
    assert played.returncode == 1, "one of both expectations can't hold"
    return top / "nightbench-out"


def test_parquet_is_the_csv_with_types_and_units(folder):
    table = pyarrow.parquet.read_table(folder / "samples.parquet")
    with open(folder / "samples.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert table.num_rows == len(rows) > 1000
    assert table.column_names == list(rows[0])
    assert table.schema.field("dwell").type == pyarrow.int32()
    assert table.schema.field("target").type == pyarrow.string()
    assert table.schema.field("utc").type == pyarrow.timestamp("us", tz="UTC")
    metadata = {key.decode(): value.decode() for key, value in table.schema.metadata.items()}
    for name in table.column_names[3:]:
        assert table.schema.field(name).type == pyarrow.float64()
        assert name.endswith("_" + metadata["unit." + name])
        assert table[name].to_pylist() == [float(row[name]) for row in rows]
    assert table["target"].to_pylist() == [row["target"] for row in rows]
    instants = [datetime.datetime.fromisoformat(row["utc"]) for row in rows]
    assert table["utc"].to_pylist() == instants


def test_junit_is_read_with_its_verdicts(folder):
    [suite] = junitparser.JUnitXml.fromfile(str(folder / "junit.xml"))
    assert (suite.tests, suite.failures, suite.errors, suite.skipped) == (2, 1, 0, 0)
    results = {case.name.split()[0]: case.is_passed for case in suite}
    assert results == {"in_field": True, "miss_p95": False}


def test_junit_keeps_to_the_schema_of_its_readers(folder):
    schema = xmlschema.XMLSchema(str(TOP / "fixtures" / "reference" / "junit-10.xsd"))
    assert [str(error) for error in schema.iter_errors(str(folder / "junit.xml"))] == []
    broken = (folder / "junit.xml").read_text().replace("<testcase name=", "<testcase title=", 1)
    assert not schema.is_valid(broken)
