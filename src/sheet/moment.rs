//! Writes the dates and times of workbooks in ISO 8601, as a date, a date with a time, or `hh:mm:ss`.
//!
//! Only rewrites what the workbook stores; which of a day and a month was meant is not to be known here.

use std::fmt;

use calamine::ExcelDateTime;

/// The first day number past 9999-12-31, after which workbooks have no dates.
const DAYS_END: f64 = 2_958_466.0;

/// Milliseconds in a day.
const DAY: f64 = 86_400_000.0;

/// A date or time stored as a count of days, shown in ISO 8601.
///
/// Less than one day is a time of day. A count for which there is no date is shown as the bare number, never as
/// the nearest date.
pub(super) struct DayCount<'v>(pub(super) &'v ExcelDateTime);

impl fmt::Display for DayCount<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let days = self.0.as_f64();
        if self.0.is_duration() {
            return write_length(days, f);
        }
        if !(0.0..DAYS_END).contains(&days) {
            return write!(f, "{days}");
        }
        let (year, month, day, hour, minute, second, milli) = self.0.to_ymd_hms_milli();
        if days < 1.0 {
            write!(f, "{hour:02}:{minute:02}:{second:02}")?;
        } else {
            write!(f, "{year:04}-{month:02}-{day:02}")?;
            if (hour, minute, second, milli) == (0, 0, 0, 0) {
                return Ok(());
            }
            write!(f, "T{hour:02}:{minute:02}:{second:02}")?;
        }
        if milli > 0 {
            write!(f, ".{milli:03}")?;
        }
        Ok(())
    }
}

fn write_length(days: f64, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    let millis = (days.abs() * DAY).round();
    // Past this a double no longer counts single milliseconds; show what is stored.
    if !millis.is_finite() || millis >= 9e15 {
        return write!(f, "{days}");
    }
    let sign = if days < 0.0 { "-" } else { "" };
    let seconds = (millis / 1000.0).floor();
    let (hours, minute, second) =
        ((seconds / 3600.0).floor(), (seconds / 60.0).floor() % 60.0, seconds % 60.0);
    write!(f, "{sign}{hours:02}:{minute:02}:{second:02}")?;
    let milli = millis % 1000.0;
    if milli > 0.0 {
        write!(f, ".{milli:03}")?;
    }
    Ok(())
}

/// An ISO date as stored, without the midnight that some writers add to a bare date.
pub(super) fn iso_date(stored: &str) -> &str {
    let Some((date, time)) = stored.split_once('T') else {
        return stored;
    };
    let time = time.strip_suffix('Z').unwrap_or(time);
    let is_midnight = time.starts_with("00:00") && time.bytes().all(|b| b"0:.".contains(&b));
    if is_midnight { date } else { stored }
}

/// An ISO length of time such as `PT12H05M00S`, shown as `12:05:00`; any other form as stored.
pub(super) struct IsoLength<'v>(pub(super) &'v str);

impl IsoLength<'_> {
    fn split(&self) -> Option<(&str, &str, &str)> {
        let (hours, rest) = self.0.strip_prefix("PT")?.split_once('H')?;
        let (minutes, rest) = rest.split_once('M')?;
        let seconds = rest.strip_suffix('S')?;
        // Some writers fill up the seconds with a fraction of zero.
        let seconds = match seconds.split_once(['.', ',']) {
            Some((whole, fraction)) if fraction.bytes().all(|digit| digit == b'0') => whole,
            _ => seconds,
        };
        [hours, minutes, seconds]
            .iter()
            .all(|part| part.starts_with(|c: char| c.is_ascii_digit()))
            .then_some((hours, minutes, seconds))
    }
}

impl fmt::Display for IsoLength<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.split() {
            Some((hours, minutes, seconds)) => write!(f, "{hours:0>2}:{minutes:0>2}:{seconds:0>2}"),
            None => f.write_str(self.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use calamine::ExcelDateTimeType;

    use super::*;

    #[test]
    fn day_counts_show_as_dates_and_times() {
        // 45998 is 2025-12-07 and 45943.541 is 2025-10-13 12:59:02.400 by two spreadsheet programs' own arithmetic.
        for (days, shown) in [
            (45_998.0, "2025-12-07"),
            (45_998.5, "2025-12-07T12:00:00"),
            (45_943.541, "2025-10-13T12:59:02.400"),
            (1.0, "1900-01-01"),
            (2_958_465.0, "9999-12-31"),
            (0.5, "12:00:00"),
            (0.0, "00:00:00"),
        ] {
            let moment = ExcelDateTime::new(days, ExcelDateTimeType::DateTime, false);
            assert_eq!(DayCount(&moment).to_string(), shown);
        }
        let old_mac = ExcelDateTime::new(44_536.0, ExcelDateTimeType::DateTime, true);
        assert_eq!(DayCount(&old_mac).to_string(), "2025-12-07");
    }

    #[test]
    fn counts_without_a_date_stay_numbers() {
        for (days, shown) in [(-12.0, "-12"), (2_958_466.0, "2958466"), (1e9, "1000000000")] {
            let moment = ExcelDateTime::new(days, ExcelDateTimeType::DateTime, false);
            assert_eq!(DayCount(&moment).to_string(), shown);
        }
    }

    #[test]
    fn lengths_of_time_count_hours_beyond_the_day() {
        for (days, shown) in
            [(1.5, "36:00:00"), (0.0, "00:00:00"), (-0.25, "-06:00:00"), (1.0 / 86_400_000.0, "00:00:00.001")]
        {
            let length = ExcelDateTime::new(days, ExcelDateTimeType::TimeDelta, false);
            assert_eq!(DayCount(&length).to_string(), shown);
        }
    }

    #[test]
    fn stored_iso_texts_lose_only_a_midnight() {
        for (stored, shown) in [
            ("2026-12-06", "2026-12-06"),
            ("2026-12-06T00:00:00", "2026-12-06"),
            ("2026-12-06T00:00:00.000Z", "2026-12-06"),
            ("2026-12-06T12:30:00", "2026-12-06T12:30:00"),
            ("2026-12-06T00:00:01", "2026-12-06T00:00:01"),
        ] {
            assert_eq!(iso_date(stored), shown);
        }
        for (stored, shown) in [
            ("PT12H05M00S", "12:05:00"),
            ("PT12H05M00.000000000S", "12:05:00"),
            ("PT36H0M1.5S", "36:00:1.5"),
            ("P1D", "P1D"),
            ("PT", "PT"),
        ] {
            assert_eq!(IsoLength(stored).to_string(), shown);
        }
    }
}
