//! The table as Parquet (the file format of Apache Parquet): one group of rows, not compressed, each column with the type that says
//! what it holds.

use super::{Cells, Column, rows};
use chrono::{DateTime, NaiveDate};
use parquet::basic::{LogicalType, Repetition, TimeUnit, Type as Physical};
use parquet::data_type::{BoolType, ByteArrayType, DataType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::types::Type;
use std::sync::Arc;

/// The file. Texts are UTF-8 as they are, without the apostrophe that keeps a spreadsheet from working out a formula; days
/// are dates, moments are counted in milliseconds of UTC.
///
/// # Errors
/// Only if serialisation itself fails, which for columns of different names it does not.
pub fn parquet(columns: &[Column]) -> Result<Vec<u8>, ParquetError> {
    let fields = columns.iter().map(field).collect::<Result<_, _>>()?;
    let schema = Type::group_type_builder("table")
        .with_fields(fields)
        .build()?;
    let properties = WriterProperties::builder()
        .set_created_by(concat!("overflown ", env!("CARGO_PKG_VERSION")).to_owned())
        .build();
    let mut file = SerializedFileWriter::new(Vec::new(), Arc::new(schema), Arc::new(properties))?;
    if rows(columns) > 0 {
        let mut group = file.next_row_group()?;
        let mut left = columns.iter();
        while let Some(mut writer) = group.next_column()? {
            if let Some(column) = left.next() {
                write(&mut writer, &column.cells)?;
            }
            writer.close()?;
        }
        group.close()?;
    }
    file.into_inner()
}

fn field(column: &Column) -> Result<Arc<Type>, ParquetError> {
    let (physical, logical) = match column.cells {
        Cells::Texts(_) => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        Cells::Whole(_) => (Physical::INT64, None),
        Cells::Numbers(_) => (Physical::DOUBLE, None),
        Cells::Flags(_) => (Physical::BOOLEAN, None),
        Cells::Days(_) => (Physical::INT32, Some(LogicalType::Date)),
        Cells::Moments(_) => (
            Physical::INT64,
            Some(LogicalType::timestamp(true, TimeUnit::MILLIS)),
        ),
    };
    let field = Type::primitive_type_builder(&column.name, physical)
        .with_repetition(Repetition::OPTIONAL)
        .with_logical_type(logical)
        .build()?;
    Ok(Arc::new(field))
}

fn write(writer: &mut SerializedColumnWriter<'_>, cells: &Cells) -> Result<(), ParquetError> {
    match cells {
        Cells::Texts(cells) => put::<ByteArrayType, _>(writer, cells, |t| t.as_str().into()),
        Cells::Whole(cells) => put::<Int64Type, _>(writer, cells, |n| *n),
        Cells::Numbers(cells) => put::<DoubleType, _>(writer, cells, |n| *n),
        Cells::Flags(cells) => put::<BoolType, _>(writer, cells, |flag| *flag),
        Cells::Days(cells) => put::<Int32Type, _>(writer, cells, |day| since_1970(*day)),
        Cells::Moments(cells) => {
            put::<Int64Type, _>(writer, cells, |moment| moment.timestamp_millis())
        }
    }
}

/// Days since 1970-01-01; years of `chrono` are far within 32 bits of days.
fn since_1970(day: NaiveDate) -> i32 {
    let first = DateTime::UNIX_EPOCH.date_naive();
    day.signed_duration_since(first).num_days() as i32
}

/// Writes what is known; the levels say where something is.
fn put<T: DataType, C>(
    writer: &mut SerializedColumnWriter<'_>,
    cells: &[Option<C>],
    value: impl Fn(&C) -> T::T,
) -> Result<(), ParquetError> {
    let levels: Vec<i16> = cells.iter().map(|c| i16::from(c.is_some())).collect();
    let known: Vec<T::T> = cells.iter().flatten().map(value).collect();
    writer
        .typed::<T>()
        .write_batch(&known, Some(&levels), None)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;
    use std::io::Write;

    fn read(bytes: &[u8]) -> SerializedFileReader<std::fs::File> {
        let mut file = tempfile::tempfile().unwrap();
        file.write_all(bytes).unwrap();
        SerializedFileReader::new(file).unwrap()
    }

    #[test]
    fn what_is_written_is_read() {
        let day = NaiveDate::from_ymd_opt(1969, 12, 30).unwrap();
        let moment = DateTime::from_timestamp_millis(1_780_000_000_123).unwrap();
        let columns = [
            Column::new("a", Cells::Texts(vec![Some("=é,\"".into()), None])),
            Column::new("b", Cells::Whole(vec![None, Some(-7)])),
            Column::new("c_m", Cells::Numbers(vec![Some(0.1), None])),
            Column::new("d", Cells::Flags(vec![Some(true), Some(false)])),
            Column::new("e", Cells::Days(vec![Some(day), None])),
            Column::new("f", Cells::Moments(vec![None, Some(moment)])),
        ];
        let file = read(&parquet(&columns).unwrap());
        let rows: Vec<Vec<(String, Field)>> = file
            .get_row_iter(None)
            .unwrap()
            .map(|row| row.unwrap().into_columns())
            .collect();
        let name = |at: usize| rows[0][at].0.as_str();
        assert_eq!(
            [0, 1, 2, 3, 4, 5].map(name),
            ["a", "b", "c_m", "d", "e", "f"]
        );
        let row = |at: usize| rows[at].iter().map(|(_, field)| field.clone()).collect();
        let first: Vec<Field> = row(0);
        let second: Vec<Field> = row(1);
        let text = Field::Str("=é,\"".into());
        let number = Field::Double(0.1);
        assert_eq!(
            first,
            [
                text,
                Field::Null,
                number,
                Field::Bool(true),
                Field::Date(-2),
                Field::Null
            ]
        );
        let millis = Field::TimestampMillis(1_780_000_000_123);
        assert_eq!(
            second,
            [
                Field::Null,
                Field::Long(-7),
                Field::Null,
                Field::Bool(false),
                Field::Null,
                millis
            ]
        );
    }

    #[test]
    fn no_rows_are_a_table_too() {
        let file = read(&parquet(&[Column::new("a", Cells::Texts(Vec::new()))]).unwrap());
        assert_eq!(file.metadata().file_metadata().num_rows(), 0);
        assert_eq!(
            file.metadata().file_metadata().schema().get_fields().len(),
            1
        );
    }
}
