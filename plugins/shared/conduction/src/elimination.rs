//! Which columns of a sparse symmetric matrix are eliminated together, and which rows each elimination touches.
//!
//! Source: elimination tree, its postorder and column counts as in T. A. Davis, Direct Methods for Sparse Linear
//! Systems, chapter 4 (from memory).

/// A subtree of no more columns than this is eliminated together.
const SMALL: u32 = 16;

/// The order of elimination.
#[derive(Clone, Debug)]
pub struct Tree {
    /// The matrix' own number of each column, in the order of elimination.
    pub order: Vec<u32>,
    /// The place of each of the matrix' columns in that order.
    pub place: Vec<u32>,
    /// Columns that are eliminated together, children before parents.
    pub nodes: Vec<Node>,
}

/// Columns that are eliminated together.
#[derive(Clone, Debug)]
pub struct Node {
    /// The first of them.
    pub first: usize,
    /// Behind the last of them.
    pub end: usize,
    /// Rows of the front, rising: its columns, then the rows below.
    pub rows: Vec<u32>,
    /// Nodes whose rest is added to this one.
    pub children: Vec<usize>,
    /// Where its columns begin among the values of the factor.
    pub values: usize,
}

impl Node {
    /// How many columns.
    pub fn columns(&self) -> usize {
        self.end - self.first
    }

    /// The rows below its columns.
    pub fn below(&self) -> &[u32] {
        &self.rows[self.columns()..]
    }
}

impl Tree {
    /// The order of a matrix of which the upper half is given by columns.
    pub fn of(starts: &[u32], rows: &[u32]) -> Tree {
        let size = starts.len().saturating_sub(1);
        let parents = parents(starts, rows, size);
        let order = postorder(&parents);
        let mut place = vec![0_u32; size];
        order.iter().enumerate().for_each(|(at, own)| place[*own as usize] = at as u32);
        // From here on columns go by their places.
        let parents: Vec<Option<u32>> =
            order.iter().map(|own| parents[*own as usize].map(|parent| place[parent as usize])).collect();
        // Upper half: for each column the smaller of its neighbours.
        let smaller = |column: usize| {
            let own = order[column] as usize;
            rows[starts[own] as usize..starts[own + 1] as usize].iter().map(|row| place[*row as usize])
        };
        let counts = counts(&parents, smaller);
        let mut tree = Tree { nodes: nodes(&parents, &counts), order, place };
        tree.find_rows(&parents, starts, rows);
        tree
    }

    /// How many columns.
    pub fn size(&self) -> usize {
        self.order.len()
    }

    /// The rows of each front: what its columns have in the matrix, and what its children leave.
    fn find_rows(&mut self, parents: &[Option<u32>], starts: &[u32], rows: &[u32]) {
        let mut node_of = vec![0_usize; self.size()];
        for (number, node) in self.nodes.iter().enumerate() {
            node_of[node.first..node.end].fill(number);
        }
        // A column comes after its rows in the order of elimination, too: its elimination touches theirs.
        for (column, place) in self.place.iter().enumerate() {
            for row in &rows[starts[column] as usize..starts[column + 1] as usize] {
                let node = &mut self.nodes[node_of[self.place[*row as usize] as usize]];
                if *place as usize >= node.end {
                    node.rows.push(*place);
                }
            }
        }
        let mut values = 0;
        for number in 0..self.nodes.len() {
            let (done, rest) = self.nodes.split_at_mut(number);
            let Some(node) = rest.first_mut() else { continue };
            for child in &node.children {
                node.rows.extend(done[*child].below().iter().filter(|row| **row as usize >= node.end));
            }
            node.rows.extend(node.first as u32..node.end as u32);
            node.rows.sort_unstable();
            node.rows.dedup();
            node.values = values;
            values += node.rows.len() * node.columns();
            if let Some(parent) = parents[node.end - 1] {
                self.nodes[node_of[parent as usize]].children.push(number);
            }
        }
    }
}

/// The parent of each column: the first column below it that its elimination touches.
fn parents(starts: &[u32], rows: &[u32], size: usize) -> Vec<Option<u32>> {
    let mut parents: Vec<Option<u32>> = vec![None; size];
    // The farthest known ancestor of each column, so that no path is walked twice.
    let mut ancestors: Vec<Option<u32>> = vec![None; size];
    for column in 0..size {
        for row in &rows[starts[column] as usize..starts[column + 1] as usize] {
            let mut at = *row as usize;
            while at < column {
                let next = ancestors[at].replace(column as u32);
                let Some(next) = next else {
                    parents[at] = Some(column as u32);
                    break;
                };
                at = next as usize;
            }
        }
    }
    parents
}

/// The columns with every subtree in one piece, children in rising order before their parent.
fn postorder(parents: &[Option<u32>]) -> Vec<u32> {
    let mut first_child: Vec<Option<u32>> = vec![None; parents.len()];
    let mut next_sibling: Vec<Option<u32>> = vec![None; parents.len()];
    let mut roots = Vec::new();
    for (column, parent) in parents.iter().enumerate().rev() {
        match parent {
            Some(parent) => next_sibling[column] = first_child[*parent as usize].replace(column as u32),
            None => roots.push(column as u32),
        }
    }
    let mut order = Vec::with_capacity(parents.len());
    let mut open = roots;
    while let Some(column) = open.last().copied() {
        match first_child[column as usize].take() {
            // Its siblings come after it, and are reached by the chain when it is done.
            Some(child) => open.push(child),
            None => {
                open.pop();
                order.push(column);
                open.extend(next_sibling[column as usize]);
            }
        }
    }
    order
}

/// How many entries each column of the factor has, its diagonal among them: a row's entries are found by walking from
/// each of its columns up to the row.
fn counts<I: Iterator<Item = u32>>(parents: &[Option<u32>], smaller: impl Fn(usize) -> I) -> Vec<u32> {
    let mut counts = vec![1_u32; parents.len()];
    let mut seen = vec![u32::MAX; parents.len()];
    for row in 0..parents.len() {
        seen[row] = row as u32;
        for column in smaller(row) {
            let mut at = column as usize;
            while seen[at] != row as u32 {
                seen[at] = row as u32;
                counts[at] += 1;
                let Some(parent) = parents[at] else { break };
                at = parent as usize;
            }
        }
    }
    counts
}

/// Columns that are eliminated together: small subtrees whole, and columns of one structure.
fn nodes(parents: &[Option<u32>], counts: &[u32]) -> Vec<Node> {
    let mut sizes = vec![1_u32; parents.len()];
    for (column, parent) in parents.iter().enumerate() {
        if let Some(parent) = parent {
            sizes[*parent as usize] += sizes[column];
        }
    }
    let node = |first: usize, end: usize| Node { first, end, rows: Vec::new(), children: Vec::new(), values: 0 };
    let is_small = |column: usize| sizes[column] <= SMALL;
    let mut nodes: Vec<Node> = Vec::new();
    for column in 0..parents.len() {
        let goes_on = nodes.last().is_some_and(|last| {
            let before = last.end - 1;
            let chained = parents[before] == Some(column as u32);
            !is_small(column) && chained && counts[before] == counts[column] + 1
        });
        match nodes.last_mut() {
            Some(last) if goes_on => last.end = column + 1,
            _ if is_small(column) => {
                // The root of a small subtree takes all of it.
                if !parents[column].is_some_and(|parent| is_small(parent as usize)) {
                    nodes.push(node(column + 1 - sizes[column] as usize, column + 1));
                }
            }
            _ => nodes.push(node(column, column + 1)),
        }
    }
    nodes
}
