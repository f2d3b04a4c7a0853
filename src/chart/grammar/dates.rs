//! An axis of dates: the months of a winter, each named in its middle.

use super::{Scale, px, width_em};
use crate::chart::Look;
use jiff::civil::Date;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

/// The days of a winter, without its year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Dates {
    /// The first, in a year whose next has no 29 February.
    pub start: Date,
    /// How many.
    pub days: usize,
}

/// A month, or the part of one that a winter has.
#[derive(Debug, Clone, PartialEq)]
pub struct Month {
    /// Its name.
    pub name: String,
    /// Days from the start of winter to its first midnight.
    pub from: usize,
    /// The same to the midnight after its last day.
    pub to: usize,
}

impl Month {
    /// Its name, or as much of it as fits, never less than a letter.
    pub fn fitting(&self, width_em_most: f64) -> String {
        let short = |letters: usize| self.name.chars().take(letters).collect::<String>();
        let names = [self.name.clone(), short(3)];
        let fitting = names
            .into_iter()
            .find(|name| width_em(name) <= width_em_most);
        fitting.unwrap_or_else(|| short(1))
    }
}

impl Dates {
    fn date(&self, day: usize) -> Option<Date> {
        let days = jiff::Span::new().try_days(i64::try_from(day).ok()?).ok()?;
        self.start.checked_add(days).ok()
    }

    /// A day as "2 April"; the first is 0.
    pub fn words(&self, day: usize) -> String {
        let date = self.date(day);
        date.map_or_else(String::new, |date| date.strftime("%-d %B").to_string())
    }

    /// Its months, in their order.
    pub fn months(&self) -> Vec<Month> {
        let mut months: Vec<Month> = Vec::new();
        for day in 0..self.days {
            let Some(date) = self.date(day) else { break };
            match months.last_mut() {
                Some(month) if date.day() != 1 => month.to = day + 1,
                _ => months.push(Month {
                    name: date.strftime("%B").to_string(),
                    from: day,
                    to: day + 1,
                }),
            }
        }
        months
    }

    /// Its months as their numbers, 1 to 12, with the days that it has of each.
    #[must_use]
    pub fn numbered(&self) -> Vec<(i8, usize)> {
        let number = |from: usize| self.date(from).map_or(0, Date::month);
        let months = self.months().into_iter();
        months
            .map(|month| (number(month.from), month.to - month.from))
            .collect()
    }

    /// Its months as days from the start to their first midnight and to the midnight after their last day.
    #[must_use]
    pub fn spans(&self) -> Vec<(usize, usize)> {
        let months = self.months().into_iter();
        months.map(|month| (month.from, month.to)).collect()
    }

    /// Room for the names of months below a panel, px.
    pub fn room(look: Look) -> f64 {
        1.7 * look.font()
    }

    /// Lines where months begin, from `top` to `bottom`, and their names below; `x` is over days from the start.
    pub(super) fn along(&self, look: Look, x: Scale, (top, bottom): (f64, f64)) -> Markup {
        let (font, ink) = (look.font(), look.theme.ink());
        let small = 0.9 * font;
        let months = self.months();
        let wide = |month: &Month| (x.at(month.to as f64) - x.at(month.from as f64)) / small;
        // One way of naming for all months that are whole, so that they look alike.
        let whole = months.iter().filter(|month| month.to - month.from >= 28);
        let full = whole
            .clone()
            .all(|month| width_em(&month.name) + 0.4 <= wide(month));
        let three = whole
            .clone()
            .all(|month| width_em("Mar") + 0.4 <= wide(month));
        // A few days of a month go without its name.
        let name = |month: &Month| {
            let most = if full {
                wide(month)
            } else if three {
                width_em("Mar")
            } else {
                0.0
            };
            let name = month.fitting(most);
            let fits = width_em(&name) <= wide(month);
            fits.then(|| (0.5 * (month.from + month.to) as f64, name))
        };
        let named: Vec<(f64, String)> = months.iter().filter_map(name).collect();
        html! {
            g stroke=(ink.grid) stroke-width="1" {
                @for month in months.iter().skip(1) {
                    line x1=(px(x.at(month.from as f64))) x2=(px(x.at(month.from as f64))) y1=(px(top)) y2=(px(bottom + 0.35 * font)) {}
                }
            }
            g stroke=(ink.axis) stroke-width="1" {
                line x1=(px(x.pixels.0)) x2=(px(x.pixels.1)) y1=(px(bottom)) y2=(px(bottom)) {}
                @for month in &months {
                    line x1=(px(x.at(month.from as f64))) x2=(px(x.at(month.from as f64))) y1=(px(bottom)) y2=(px(bottom + 0.35 * font)) {}
                }
            }
            g font-size=(px(small)) fill=(ink.quiet) text-anchor="middle" {
                @for (day, name) in &named {
                    text x=(px(x.at(*day))) y=(px(bottom + 0.4 * font + small)) { (name) }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn months_of_a_winter_follow_each_other_and_hold_all_its_days() {
        let winter = Dates {
            start: date(2001, 9, 20),
            days: 200,
        };
        let months = winter.months();
        let names: Vec<&str> = months.iter().map(|month| month.name.as_str()).collect();
        assert_eq!(names[0], "September");
        assert_eq!(names[7], "April");
        assert_eq!((months[0].from, months[0].to), (0, 11));
        assert_eq!(months[1].from, 11);
        assert_eq!(months.last().map(|month| month.to), Some(200));
        for pair in months.windows(2) {
            assert_eq!(pair[0].to, pair[1].from);
        }
    }

    #[test]
    fn february_has_28_days() {
        let winter = Dates {
            start: date(2001, 10, 1),
            days: 202,
        };
        let february = &winter.months()[4];
        assert_eq!(february.to - february.from, 28);
        assert_eq!(winter.words(0), "1 October");
        assert_eq!(winter.words(201), "20 April");
    }

    #[test]
    fn a_month_without_room_keeps_a_letter() {
        let month = Month {
            name: "December".to_owned(),
            from: 0,
            to: 31,
        };
        assert_eq!(month.fitting(9.0), "December");
        assert_eq!(month.fitting(2.5), "Dec");
        assert_eq!(month.fitting(0.1), "D");
    }

    #[test]
    fn few_days_of_a_month_go_without_its_name() {
        let winter = Dates {
            start: date(2001, 9, 30),
            days: 100,
        };
        let x = Scale {
            unit: crate::chart::grammar::Unit::Plain,
            values: (0.0, 100.0),
            pixels: (0.0, 800.0),
        };
        let drawn = winter.along(Look::default(), x, (0.0, 100.0)).into_string();
        assert!(
            !drawn.contains(">S") && drawn.contains("October"),
            "{drawn}"
        );
    }
}
