//! Wind speed kept as a running sum, and the speeds that it was made of.

use super::stamp::HOUR;

/// The running sum before a row.
#[derive(Debug, Default)]
pub(crate) struct RunningSum {
    direction: String,
    sum: f64,
    minute: i64,
}

impl RunningSum {
    /// The speed of the hour: the step from the hour before while the direction stays the same, else the
    /// sum itself, which starts again when the wind turns and after a missing row.
    pub(crate) fn speed(&mut self, sum: f64, direction: &str, minute: i64) -> f64 {
        let goes_on =
            self.direction == direction && minute - self.minute == HOUR && sum >= self.sum;
        let speed = if goes_on { sum - self.sum } else { sum };
        self.sum = sum;
        self.minute = minute;
        if self.direction != direction {
            self.direction.clear();
            self.direction.push_str(direction);
        }
        speed
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sum_starts_again_when_the_wind_turns_and_after_a_gap() {
        let mut running = RunningSum::default();
        let mut speed = |sum, direction, hour| running.speed(sum, direction, hour * HOUR);
        assert_eq!(speed(1.5, "NE", 0), 1.5);
        assert_eq!(speed(4.0, "NE", 1), 2.5);
        assert_eq!(speed(5.0, "NW", 2), 5.0);
        assert_eq!(speed(6.0, "NW", 4), 6.0);
        assert_eq!(speed(2.0, "NW", 5), 2.0);
    }
}
