//! Files for other programs: Parquet read back against the CSV, JUnit as build servers want it.

mod common;

use common::{empty, eventful};
use parquet::file::reader::{FileReader as _, SerializedFileReader};
use parquet::record::Field;
use report::{junit_xml, samples_csv, samples_parquet};

fn read(bytes: Vec<u8>) -> SerializedFileReader<bytes::Bytes> {
    SerializedFileReader::new(bytes::Bytes::from(bytes)).unwrap()
}

#[test]
fn parquet_holds_the_columns_and_figures_of_the_csv() {
    let outcome = eventful();
    let text = samples_csv(&outcome);
    let mut csv = csv::Reader::from_reader(text.as_bytes());
    let titles = csv.headers().unwrap().clone();
    let reader = read(samples_parquet(&outcome));
    let rows: Vec<_> = reader.get_row_iter(None).unwrap().map(Result::unwrap).collect();
    let records: Vec<_> = csv.records().map(Result::unwrap).collect();
    assert_eq!((rows.len(), records.len()), (outcome.samples.len(), outcome.samples.len()));
    for (row, record) in rows.iter().zip(&records) {
        for (index, (name, field)) in row.get_column_iter().enumerate() {
            assert_eq!(name, &titles[index]);
            match field {
                Field::Int(number) => assert_eq!(number.to_string(), record[index]),
                Field::Str(text) => assert_eq!(text, &record[index]),
                Field::Double(value) => assert_eq!(*value, record[index].parse::<f64>().unwrap(), "{name}"),
                Field::TimestampMicros(micros) => {
                    // 2027-03-06T19:30:00Z is 20 883 days and 19.5 h after 1970 began.
                    let begin = (20_883 * 86_400 + 70_200) * 1_000_000_i64;
                    let second = records.iter().position(|one| one == record).unwrap() as i64;
                    assert_eq!(*micros, begin + (80 + second) * 1_000_000);
                }
                other => panic!("{name}: {other:?}"),
            }
        }
    }
}

#[test]
fn parquet_says_units_and_which_night_it_is() {
    let reader = read(samples_parquet(&eventful()));
    let metadata = reader.metadata().file_metadata();
    let value = |key: &str| {
        let pairs = metadata.key_value_metadata().unwrap();
        pairs.iter().find(|pair| pair.key == key).and_then(|pair| pair.value.clone())
    };
    assert_eq!(value("unit.error_east_arcsec").as_deref(), Some("arcsec"));
    assert_eq!(value("unit.hour_axis_deg").as_deref(), Some("deg"));
    assert_eq!(value("seed").as_deref(), Some("7"));
    assert_eq!(value("scenario_digest").unwrap().len(), 64);
}

#[test]
fn parquet_of_no_samples_and_the_same_bytes_twice() {
    assert_eq!(read(samples_parquet(&empty())).metadata().file_metadata().num_rows(), 0);
    assert_eq!(samples_parquet(&eventful()), samples_parquet(&eventful()));
}

#[test]
fn junit_has_a_case_for_each_expectation() {
    let xml = junit_xml(&eventful());
    assert!(xml.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>"));
    assert!(
        xml.contains("tests=\"2\"") && xml.contains("failures=\"1\"") && xml.contains("errors=\"0\""),
        "{xml}"
    );
    assert_eq!(xml.matches("<testcase ").count(), 2);
    assert!(xml.contains("<failure message=\"in_field &gt;= 90 %, found 33 %\""), "{xml}");
    assert!(junit_xml(&empty()).contains("tests=\"0\""));
}

#[test]
fn junit_is_xml_whatever_a_title_holds() {
    let mut outcome = eventful();
    outcome.title = "a\u{1b}[31m\u{0}<&\"]]>\u{fffe}".to_owned();
    outcome.verdicts[0].found = "\u{1b}\u{8}]]>".to_owned();
    let xml = junit_xml(&outcome);
    // XML 1.0, production 2: no control character but tab and line ends, no U+FFFE or U+FFFF.
    assert!(
        !xml.chars().any(|c| (c.is_control() && !"\n\t".contains(c)) || c == '\u{fffe}' || c == '\u{ffff}')
    );
    assert!(!xml.contains("]]>"), "{xml}");
}
