//! How far the camera's clock is off: the shift under which most photographs follow words that ask for one.

/// A photograph this near to the words for it, once the clocks agree, is the one that was meant, in milliseconds.
pub const NEAR: i64 = 45_000;
/// How well the times must agree to count for a shift.
const CLOSE: i64 = 20_000;
/// More pairs than these are not tried: the first of each tell the shift as well.
const MOST: usize = 150;

/// The shift in milliseconds to be added to the camera's times, if one explains more photographs than none does.
///
/// Both lists are in order. One photograph and one mark fit under any shift and prove nothing.
pub fn shift(photos: &[i64], marks: &[i64]) -> Option<i64> {
    let (photos, marks) = (&photos[..photos.len().min(MOST)], &marks[..marks.len().min(MOST)]);
    let candidates = photos.iter().flat_map(|photo| marks.iter().map(move |mark| mark - photo));
    let best = candidates.map(|shift| (agreement(photos, marks, shift), shift));
    let rank = |((pairs, apart), shift): &((usize, i64), i64)| (*pairs, -apart, -shift.abs());
    let ((pairs, _), shift) = best.max_by_key(|found| rank(found))?;
    let (unshifted, _) = agreement(photos, marks, 0);
    let enough = pairs >= 2 && pairs * 2 >= photos.len().min(marks.len());
    (enough && pairs > unshifted).then_some(shift)
}

/// How many photographs have a mark of their own close by, and how far these are apart in all.
fn agreement(photos: &[i64], marks: &[i64], shift: i64) -> (usize, i64) {
    let (mut pairs, mut apart, mut next) = (0, 0, 0);
    for photo in photos {
        while marks.get(next).is_some_and(|mark| *mark < photo + shift - CLOSE) {
            next += 1;
        }
        if let Some(mark) = marks.get(next).filter(|mark| (photo + shift - **mark).abs() <= CLOSE) {
            pairs += 1;
            apart += (photo + shift - mark).abs();
            next += 1;
        }
    }
    (pairs, apart)
}

/// For each photograph the mark it belongs to: in order and one to one as far as that goes, at the least distance in all;
/// then what is left over goes to the nearest mark that is near enough.
pub fn pair(photos: &[i64], marks: &[i64]) -> Vec<Option<usize>> {
    let mut pairs = in_order(photos, marks);
    for (photo, pair) in photos.iter().zip(&mut pairs).filter(|(_, pair)| pair.is_none()) {
        let near = marks.iter().enumerate().min_by_key(|(_, mark)| (photo - **mark).abs());
        *pair = near.filter(|(_, mark)| (photo - **mark).abs() <= NEAR).map(|(at, _)| at);
    }
    pairs
}

/// The alignment of least cost, where leaving a photograph or a mark alone costs half of what is near.
fn in_order(photos: &[i64], marks: &[i64]) -> Vec<Option<usize>> {
    let (rows, columns) = (photos.len() + 1, marks.len() + 1);
    let mut cost = vec![0; rows * columns];
    for at in 1..rows * columns {
        let (row, column) = (at / columns, at % columns);
        let alone = |steps: bool, back: usize| if steps { cost[at - back] + NEAR / 2 } else { i64::MAX };
        let least = alone(row > 0, columns.min(at)).min(alone(column > 0, 1));
        let apart = if row > 0 && column > 0 { (photos[row - 1] - marks[column - 1]).abs() } else { i64::MAX };
        let together = if apart <= NEAR { cost[at - columns - 1] + apart } else { i64::MAX };
        cost[at] = least.min(together);
    }
    let mut pairs = vec![None; photos.len()];
    let (mut row, mut column) = (photos.len(), marks.len());
    while row > 0 && column > 0 {
        let at = row * columns + column;
        if cost[at] == cost[at - columns] + NEAR / 2 {
            row -= 1;
        } else if cost[at] == cost[at - 1] + NEAR / 2 {
            column -= 1;
        } else {
            (row, column) = (row - 1, column - 1);
            pairs[row] = Some(column);
        }
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    const S: i64 = 1000;

    #[test]
    fn a_clock_that_is_37_minutes_off_is_found() {
        let marks = [10 * S, 70 * S, 95 * S, 240 * S, 500 * S];
        // Each photograph comes 3 to 8 seconds after its words, by a clock that is 37 minutes slow.
        let late = [5, 3, 8, 4, 6];
        let photos: Vec<i64> = marks.iter().zip(late).map(|(mark, late)| mark + late * S - 37 * 60 * S).collect();
        let found = shift(&photos, &marks).unwrap();
        assert!((found - 37 * 60 * S).abs() <= 8 * S, "the shift is known to a few seconds: {found}");
        let moved: Vec<i64> = photos.iter().map(|p| p + found).collect();
        assert_eq!(pair(&moved, &marks), [Some(0), Some(1), Some(2), Some(3), Some(4)]);
    }

    #[test]
    fn a_clock_that_is_right_is_left_alone() {
        assert_eq!(shift(&[12 * S, 75 * S], &[10 * S, 70 * S]), None);
    }

    #[test]
    fn one_photograph_proves_no_shift() {
        assert_eq!(shift(&[0], &[5_000 * S]), None);
    }

    #[test]
    fn a_second_photograph_of_the_same_belongs_to_the_same_words() {
        assert_eq!(pair(&[12 * S, 20 * S, 104 * S], &[10 * S, 100 * S]), [Some(0), Some(0), Some(1)]);
    }

    #[test]
    fn what_is_far_from_any_words_belongs_to_none() {
        assert_eq!(pair(&[300 * S], &[10 * S]), [None]);
        assert_eq!(pair(&[], &[10 * S]), []);
        assert_eq!(pair(&[10 * S], &[]), [None]);
    }

    proptest::proptest! {
        #[test]
        fn pairs_are_near_and_in_order(mut photos in proptest::collection::vec(0i64..2_000_000, 0..12), mut marks in proptest::collection::vec(0i64..2_000_000, 0..12)) {
            photos.sort();
            marks.sort();
            let pairs = in_order(&photos, &marks);
            let matched: Vec<usize> = pairs.iter().flatten().copied().collect();
            assert!(matched.windows(2).all(|two| two[0] < two[1]), "{matched:?}");
            for (photo, mark) in photos.iter().zip(&pairs).filter_map(|(p, m)| m.map(|m| (p, marks[m]))) {
                assert!((photo - mark).abs() <= NEAR);
            }
        }
    }
}
