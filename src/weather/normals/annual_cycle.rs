//! Monthly means as a course through the year.

use super::Months;

/// A smooth course of the year whose monthly means are the twelve values: straight lines between the
/// middles of the months, through points set so that the mean of each month comes out.
///
/// Killworth 1996, J. Phys. Oceanogr. 26:1280, for months of equal length: the point p solves
/// p[m-1]/8 + 3 p[m]/4 + p[m+1]/8 = mean[m].
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AnnualCycle {
    points: Months,
}

impl AnnualCycle {
    pub(crate) fn new(means: &Months) -> Self {
        let mut points = *means;
        // The matrix is diagonally dominant: each sweep takes away two thirds of the error.
        for _ in 0..40 {
            for m in 0..12 {
                let neighbours = points[(m + 11) % 12] + points[(m + 1) % 12];
                points[m] = (means[m] - neighbours / 8.0) / 0.75;
            }
        }
        Self { points }
    }

    /// Value at a point of the year: 0 is the start of January, 12 its end in December.
    pub(crate) fn at(&self, month_of_year: f64) -> f64 {
        let from_first_middle = (month_of_year - 0.5).rem_euclid(12.0);
        let whole = from_first_middle.floor();
        // rem_euclid may round up to 12 itself, hence the remainder.
        let before = whole as usize % 12;
        let share = from_first_middle - whole;
        self.points[before] * (1.0 - share) + self.points[(before + 1) % 12] * share
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_course_of_the_year_has_the_monthly_means() {
        let means = [
            -11.0, -9.0, -3.0, 5.0, 12.0, 17.0, 20.0, 19.0, 14.0, 7.0, -1.0, -8.0,
        ];
        let course = AnnualCycle::new(&means);
        for (month, mean) in means.iter().enumerate() {
            let steps = 1_000;
            let sum: f64 = (0..steps)
                .map(|i| course.at(month as f64 + (f64::from(i) + 0.5) / f64::from(steps)))
                .sum();
            assert!(
                (sum / f64::from(steps) - mean).abs() < 1e-5,
                "month {month}"
            );
        }
        assert_eq!(course.at(0.0), course.at(12.0));
        assert!(course.at(-1e-20).is_finite());
    }
}
