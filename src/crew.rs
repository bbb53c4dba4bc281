//! Sharing work among threads so that the result never depends on their timing.

use std::sync::Condvar;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;
use std::sync::mpsc;

/// Does `work` on every item on at most `threads` threads at once and returns the results in the order of the items. Items are
/// taken one by one in their order, so put the largest first.
pub fn share<T: Sync, R: Send>(
    items: &[T],
    threads: usize,
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    if threads <= 1 || items.len() <= 1 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<(usize, R)>> = Mutex::new(Vec::with_capacity(items.len()));
    std::thread::scope(|scope| {
        for _ in 0..threads.min(items.len()) {
            scope.spawn(|| {
                while let Some((index, item)) = take(&next, items) {
                    let result = work(item);
                    if let Ok(mut done) = done.lock() {
                        done.push((index, result));
                    }
                }
            });
        }
    });
    // A thread that panicked ends the scope with its panic, so the lock is sound here.
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, result)| result).collect()
}

/// Prepares every item on at most `threads` threads at once, and hands what was prepared over in the order of the items, one at a
/// time. The first failure ends the work.
///
/// # Errors
/// Gives the failure of the first item that failed, in the order of the items.
pub fn in_order<T: Sync, P, E: Send>(
    items: &[T],
    threads: usize,
    prepare: impl Fn(&T) -> Result<P, E> + Sync,
    hand_over: impl FnMut(&T, P) -> Result<(), E> + Send,
) -> Result<(), E> {
    let next = AtomicUsize::new(0);
    let line = Mutex::new(Line {
        turn: 0,
        is_over: false,
        failure: None,
        hand_over,
    });
    let moved = Condvar::new();
    let work = || {
        while let Some((index, item)) = take(&next, items) {
            let leaving = Leaving(&line, &moved);
            let prepared = prepare(item);
            let mut line = locked(&line);
            while line.turn != index && !line.is_over {
                line = moved.wait(line).unwrap_or_else(PoisonError::into_inner);
            }
            if line.is_over {
                return;
            }
            line.failure = prepared
                .and_then(|prepared| (line.hand_over)(item, prepared))
                .err();
            line.is_over = line.failure.is_some();
            line.turn = index.saturating_add(1);
            drop(line);
            drop(leaving);
            moved.notify_all();
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..threads.min(items.len()) {
            scope.spawn(work);
        }
        work();
    });
    let line = line.into_inner().unwrap_or_else(PoisonError::into_inner);
    line.failure.map_or(Ok(()), Err)
}

/// Passes on every message that `feed` tells to every listener, each on a thread of its own and in the order told. `feed` waits while
/// a listener is `ahead` messages behind. When this returns, every listener has taken in every message.
pub fn tell_all<M: Clone + Send, L: FnMut(M) + Send, R>(
    listeners: Vec<L>,
    ahead: usize,
    feed: impl FnOnce(&mut dyn FnMut(M)) -> R,
) -> R {
    std::thread::scope(|scope| {
        let senders: Vec<mpsc::SyncSender<M>> = listeners
            .into_iter()
            .map(|listener| {
                let (sender, messages) = mpsc::sync_channel(ahead);
                scope.spawn(move || messages.iter().for_each(listener));
                sender
            })
            .collect();
        feed(&mut |message| {
            for sender in &senders {
                // A listener that is gone left with a panic, which the end of the scope passes on.
                let _ = sender.send(message.clone());
            }
        })
    })
}

/// Whose turn it is to hand over.
struct Line<E, H> {
    turn: usize,
    is_over: bool,
    failure: Option<E>,
    hand_over: H,
}

/// A thread that leaves by a panic must not leave the others waiting for its turn.
struct Leaving<'a, E, H>(&'a Mutex<Line<E, H>>, &'a Condvar);

impl<E, H> Drop for Leaving<'_, E, H> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            locked(self.0).is_over = true;
            self.1.notify_all();
        }
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn take<'a, T>(next: &AtomicUsize, items: &'a [T]) -> Option<(usize, &'a T)> {
    let index = next.fetch_add(1, Ordering::Relaxed);
    items.get(index).map(|item| (index, item))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn handing_over_keeps_the_order_and_ends_at_the_first_failure() {
        let items: Vec<u64> = (0..300).collect();
        for threads in [0, 1, 2, 8] {
            let mut seen = Vec::new();
            let done = in_order(
                &items,
                threads,
                |item| {
                    if *item == 200 {
                        Err(*item)
                    } else {
                        Ok(item * 3)
                    }
                },
                |item, prepared| {
                    seen.push((*item, prepared));
                    if *item == 250 { Err(*item) } else { Ok(()) }
                },
            );
            assert_eq!(done, Err(200));
            let expected: Vec<(u64, u64)> = (0..200).map(|item| (item, item * 3)).collect();
            assert_eq!(seen, expected);
        }
        let none: Result<(), ()> = in_order(&Vec::<u8>::new(), 2, |_| Ok(()), |_, ()| Ok(()));
        assert_eq!(none, Ok(()));
    }

    #[test]
    fn every_listener_hears_everything_in_order() {
        let mut heard = vec![Vec::new(); 3];
        let listeners = heard
            .iter_mut()
            .map(|heard| |message: u64| heard.push(message))
            .collect();
        let told = tell_all(listeners, 2, |tell| (0..500).map(tell).count());
        assert_eq!(told, 500);
        let expected: Vec<u64> = (0..500).collect();
        assert!(heard.iter().all(|heard| *heard == expected));
    }

    #[test]
    fn results_keep_the_order_of_the_items() {
        let items: Vec<u64> = (0..500).collect();
        let expected: Vec<u64> = items.iter().map(|item| item * 2).collect();
        for threads in [0, 1, 2, 8, 900] {
            assert_eq!(share(&items, threads, |item| item * 2), expected);
        }
    }
}
