//! Lab: depth first fill below a ceiling.
use super::*;
/// Count nodes
pub struct Fill {
    /// n
    pub nodes: u64,
    /// l
    pub limit: u64,
    /// f
    pub found: Option<Vec<usize>>,
    right: Vec<u128>,
    below: Vec<u128>,
    ways: usize,
    grid: Grid,
    order: Vec<usize>,
    /// f
    pub forward: bool,
    depth_max: usize,
}
/// x
pub fn fill(steps: &Steps, grid: Grid, ceiling: f64, limit: u64) -> Fill {
    let n = steps.hangings();
    let m = |up: bool| {
        (0..n)
            .map(|a| {
                (0..n)
                    .filter(|b| b / steps.ways != a / steps.ways && steps.step(up, a, *b) < ceiling)
                    .fold(0u128, |m, b| m | 1 << b)
            })
            .collect::<Vec<_>>()
    };
    let order: Vec<usize> = if grid.rows < grid.cols {
        (0..grid.places())
            .map(|i| (i % grid.rows) * grid.cols + i / grid.rows)
            .collect()
    } else {
        (0..grid.places()).collect()
    };
    let mut f = Fill {
        nodes: 0,
        limit,
        found: None,
        right: m(false),
        below: m(true),
        ways: steps.ways,
        grid,
        order,
        forward: true,
        depth_max: 0,
    };
    let mut wall = vec![0; n];
    let all = if n == 128 { u128::MAX } else { (1 << n) - 1 };
    f.go(0, all, &mut wall);
    f
}
impl Fill {
    fn candidates(&self, p: usize, free: u128, wall: &[usize]) -> u128 {
        let mut c = free;
        if p % self.grid.cols > 0 {
            c &= self.right[wall[p - 1]];
        }
        if p >= self.grid.cols {
            c &= self.below[wall[p - self.grid.cols]];
        }
        c
    }
    fn go(&mut self, k: usize, free: u128, wall: &mut Vec<usize>) -> bool {
        if k > self.depth_max {
            self.depth_max = k;
        }
        if k == self.grid.places() {
            self.found = Some(wall.clone());
            return true;
        }
        let p = self.order[k];
        let mut c = self.candidates(p, free, wall);
        while c != 0 {
            let h = c.trailing_zeros() as usize;
            c &= c - 1;
            self.nodes += 1;
            if self.nodes > self.limit {
                return true;
            }
            wall[p] = h;
            let panel = ((1u128 << self.ways) - 1) << (h / self.ways * self.ways);
            if self.go(k + 1, free & !panel, wall) {
                return true;
            }
        }
        false
    }
}
