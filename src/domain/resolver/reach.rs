//! How much heat so many rails could give at most, widths counted, prices and menus not.
//!
//! A relaxation: when even that falls short, no bill of several rails exists in the finish.
#![expect(clippy::indexing_slicing, reason = "tables as long as the cuts they are made for")]

/// The most that a body no wider than each cut and wider than the one before can deliver.
#[derive(Debug)]
pub(super) struct Reach<'a> {
    cuts: &'a [i32],
    most: Vec<i64>,
    narrowest: Vec<i32>,
}

impl<'a> Reach<'a> {
    /// Nothing seen yet.
    pub(super) fn new(cuts: &'a [i32]) -> Self {
        let (most, narrowest) = (vec![0; cuts.len()], vec![i32::MAX; cuts.len()]);
        Self { cuts, most, narrowest }
    }

    /// Counts a body by its width and the most that it can deliver.
    pub(super) fn add(&mut self, width: i32, delivered: i64) {
        let class = self.cuts.partition_point(|cut| *cut < width);
        let (Some(most), Some(narrowest)) =
            (self.most.get_mut(class), self.narrowest.get_mut(class))
        else {
            return;
        };
        *most = delivered.max(*most);
        *narrowest = width.min(*narrowest);
    }

    /// Whether so many rails can deliver what is required within a width.
    pub(super) fn allows(&self, count: usize, width: Option<i32>, required: i64) -> bool {
        self.reaches(count, width.unwrap_or(i32::MAX), required)
    }

    fn reaches(&self, count: usize, width: i32, need: i64) -> bool {
        (0..self.most.len()).any(|class| {
            let narrowest = self.narrowest[class];
            if narrowest == i32::MAX || width < narrowest {
                return false;
            }
            let need = need.saturating_sub(self.most[class]);
            match count.checked_sub(1) {
                None | Some(0) => need <= 0,
                Some(rest) => self.reaches(rest, width.saturating_sub(narrowest), need),
            }
        })
    }
}
