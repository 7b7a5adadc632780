//! Things that are made of each other in a circle.

/// A circle among `count` things with these edges, as the places on it in order; none if there is none.
pub(super) fn find(count: usize, edges: &[Vec<usize>]) -> Option<Vec<usize>> {
    let (mut done, mut on_trail) = (vec![false; count], vec![false; count]);
    (0..count).find_map(|start| walk(start, edges, &mut done, &mut on_trail))
}

/// Depth first with a stack of our own: books may chain deeper than the machine's stack. Nothing is on the trail before
/// and, where no circle is found, after.
fn walk(start: usize, edges: &[Vec<usize>], done: &mut [bool], on_trail: &mut [bool]) -> Option<Vec<usize>> {
    if done.get(start) == Some(&true) {
        return None;
    }
    let mut trail: Vec<(usize, usize)> = vec![(start, 0)];
    if let Some(mark) = on_trail.get_mut(start) {
        *mark = true;
    }
    while let Some((at, next)) = trail.last().copied() {
        let target = edges.get(at).and_then(|list| list.get(next)).copied();
        if let Some(top) = trail.last_mut() {
            top.1 += 1;
        }
        match target {
            Some(target) if on_trail.get(target).copied().unwrap_or(false) => {
                let from = trail.iter().position(|(place, _)| *place == target).unwrap_or(0);
                return Some(trail.iter().skip(from).map(|(place, _)| *place).collect());
            }
            Some(target) if !done.get(target).copied().unwrap_or(true) => {
                if let Some(mark) = on_trail.get_mut(target) {
                    *mark = true;
                }
                trail.push((target, 0));
            }
            Some(_) => {}
            None => {
                trail.pop();
                for marks in [(&mut *on_trail, false), (&mut *done, true)] {
                    if let Some(mark) = marks.0.get_mut(at) {
                        *mark = marks.1;
                    }
                }
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circle_is_found_and_a_chain_is_none() {
        assert_eq!(find(3, &[vec![1], vec![2], vec![0]]), Some(vec![0, 1, 2]));
        assert_eq!(find(3, &[vec![1, 2], vec![2], vec![]]), None);
        assert_eq!(find(2, &[vec![], vec![1]]), Some(vec![1]));
    }

    #[test]
    fn a_chain_of_a_hundred_thousand_is_walked() {
        let edges: Vec<Vec<usize>> = (0..100_000).map(|n| vec![n + 1]).collect();
        assert_eq!(find(100_000, &edges), None);
    }
}
