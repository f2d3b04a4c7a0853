//! Labels in a stack beside a picture: none on another, all together as near as may be to what they name.

/// Tops of labels from their wished middles and their heights, in the order given, px: labels that would touch stand below each other about the mean of their
/// wished places (pooled neighbours: the least squares of the moves), within `top` and `bottom` where all have room.
pub fn stack(wished: &[(f64, f64)], top: f64, bottom: f64) -> Vec<f64> {
    // Groups of labels that touch: top of the group, its height, how many.
    let mut groups: Vec<(f64, f64, usize)> = Vec::new();
    for (middle, height) in wished {
        let mut group = (middle - 0.5 * height, *height, 1);
        while let Some((above, high, count)) = groups.pop_if(|last| last.0 + last.1 > group.0) {
            let (before, own) = (count as f64, group.2 as f64);
            let mean = (before * above + own * (group.0 - high)) / (before + own);
            group = (mean, high + group.1, count + group.2);
        }
        groups.push(group);
    }
    let mut tops = Vec::with_capacity(wished.len());
    for (mut at, _, count) in groups {
        for (_, height) in &wished[tops.len()..tops.len() + count] {
            tops.push(at);
            at += height;
        }
    }
    let mut free = top;
    for (at, (_, height)) in tops.iter_mut().zip(wished) {
        *at = at.max(free);
        free = *at + height;
    }
    let mut below = bottom;
    for (at, (_, height)) in tops.iter_mut().zip(wished).rev() {
        *at = at.min(below - height);
        below = *at;
    }
    // With too little room the stack runs out at its end, not at its head.
    let over = tops.first().map_or(0.0, |first| (top - first).max(0.0));
    tops.iter().map(|at| at + over).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_with_room_stay_where_they_are_wished() {
        assert_eq!(
            stack(&[(20.0, 10.0), (50.0, 10.0)], 0.0, 100.0),
            [15.0, 45.0]
        );
    }

    #[test]
    fn labels_that_would_touch_are_moved_as_little_as_may_be() {
        assert_eq!(
            stack(&[(50.0, 10.0), (50.0, 10.0)], 0.0, 100.0),
            [40.0, 50.0]
        );
    }

    #[test]
    fn labels_keep_within_the_stack_and_run_out_at_its_end() {
        let wished = [(95.0, 10.0), (96.0, 20.0), (97.0, 10.0)];
        assert_eq!(stack(&wished, 0.0, 100.0), [60.0, 70.0, 90.0]);
        assert_eq!(stack(&[(0.0, 60.0), (0.0, 60.0)], 0.0, 100.0), [0.0, 60.0]);
    }
}
