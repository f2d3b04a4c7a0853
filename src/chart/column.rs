//! Labels in a column beside a picture: none on another, each as near as may be to what it is of.

/// Tops of labels from their wished middles and their heights, in the order given, px: kept within `top` and `bottom` where all have room.
pub(super) fn spread(wished: &[(f64, f64)], top: f64, bottom: f64) -> Vec<f64> {
    let mut tops: Vec<f64> = Vec::with_capacity(wished.len());
    let mut free = top;
    for (middle, height) in wished {
        let at = (middle - 0.5 * height).max(free);
        free = at + height;
        tops.push(at);
    }
    let mut below = bottom;
    for (at, (_, height)) in tops.iter_mut().zip(wished).rev() {
        *at = at.min(below - height);
        below = *at;
    }
    // With too little room the column runs out at its end, not at its head.
    let over = tops.first().map_or(0.0, |first| (top - first).max(0.0));
    tops.iter().map(|at| at + over).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_with_room_stay_where_they_are_wished() {
        assert_eq!(
            spread(&[(20.0, 10.0), (50.0, 10.0)], 0.0, 100.0),
            [15.0, 45.0]
        );
    }

    #[test]
    fn labels_that_would_collide_stand_below_each_other_and_within_the_column() {
        let wished = [(95.0, 10.0), (96.0, 20.0), (97.0, 10.0)];
        let tops = spread(&wished, 0.0, 100.0);
        assert_eq!(tops, [60.0, 70.0, 90.0]);
        let crowded = spread(&[(0.0, 60.0), (0.0, 60.0)], 0.0, 100.0);
        assert_eq!(crowded, [0.0, 60.0]);
    }
}
