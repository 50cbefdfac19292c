//! The same work for several photos: as many at once as there are threads, answered in the order given.
//!
//! A photo is decoded by one thread, so several are read fastest one a thread; what the threads of one photo leave idle
//! the others take. No more photos are in memory than there are threads.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

use super::{Hear, News};
use crate::error::Result;

/// What is heard of the work.
pub enum Heard<R> {
    /// The item of this index has been begun.
    Begun(usize),
    /// The next item in the order given is done.
    Done(R),
}

/// Does `work` for each item and lets `hear` know on the calling thread: each result as soon as it and all before it are
/// there. Where `hear` fails nothing more is begun. What `work` returns may have to wait, so it should be small.
pub fn several<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut hear: impl FnMut(Heard<R>) -> Result<()>,
) -> Result<()> {
    let next = AtomicUsize::new(0);
    rayon::in_place_scope(|scope| {
        let (tell, told) = mpsc::channel();
        for _ in 0..items.len().min(rayon::current_num_threads()) {
            let (tell, next, work) = (tell.clone(), &next, &work);
            scope.spawn(move |_| {
                loop {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(i) else { return };
                    let heard =
                        tell.send((i, None)).is_ok() && tell.send((i, Some(work(item)))).is_ok();
                    if !heard {
                        return;
                    }
                }
            });
        }
        drop(tell);
        let (mut waiting, mut awaited) = (BTreeMap::new(), 0);
        for (i, result) in told {
            match result {
                None => hear(Heard::Begun(i))?,
                Some(result) => {
                    waiting.insert(i, result);
                }
            }
            while let Some(result) = waiting.remove(&awaited) {
                awaited += 1;
                hear(Heard::Done(result))?;
            }
        }
        Ok(())
    })
}

/// What `work` makes of each item, in the order given; each that is begun is heard of by its name.
///
/// # Errors
/// That of the first item that fails.
pub fn all<T: Sync, R: Send>(
    items: &[T],
    name: impl Fn(&T) -> String,
    work: impl Fn(&T) -> Result<R> + Sync,
    hear: &mut dyn Hear,
) -> Result<Vec<R>> {
    let mut made = Vec::new();
    several(items, work, |heard| {
        match heard {
            Heard::Begun(i) => hear.hear(News::Begun(i + 1, items.len(), &name(&items[i]))),
            Heard::Done(one) => made.push(one?),
        }
        Ok(())
    })?;
    Ok(made)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::error::Error;

    #[test]
    fn answers_come_in_the_order_given() {
        let items: Vec<u64> = (0..20).collect();
        let slower_first = |i: &u64| {
            std::thread::sleep(std::time::Duration::from_millis(20 - i));
            *i
        };
        let (mut begun, mut done) = (0, Vec::new());
        several(&items, slower_first, |heard| {
            match heard {
                Heard::Begun(_) => begun += 1,
                Heard::Done(i) => done.push(i),
            }
            Ok(())
        })
        .unwrap();
        assert_eq!((begun, done), (20, items));
    }

    #[test]
    fn nothing_is_begun_once_nobody_listens() {
        let items: Vec<usize> = (0..1000).collect();
        let worked = AtomicUsize::new(0);
        let work = |_: &usize| {
            std::thread::sleep(std::time::Duration::from_millis(1));
            worked.fetch_add(1, Ordering::Relaxed)
        };
        let refuse = |_: Heard<usize>| Err(Error::OnePicture);
        assert!(several(&items, work, refuse).is_err());
        assert!(worked.load(Ordering::Relaxed) < 1000);
    }
}
