// Package solver minimises linear and convex quadratic functions under
// two-sided linear constraints, with whole numbers where they are asked for. It
// knows rows and columns, nothing of compost.
//
// The problem, for n columns and m rows, is
//
//	minimise    1/2 x'Qx + c'x
//	subject to  L_i <= a_i'x <= U_i     i = 1..m   (RowLower, RowUpper)
//	            l_j <= x_j   <= u_j     j = 1..n   (Lower, Upper)
//
// with x, c, l, u in R^n, A = (a_i') in R^{m x n}, L, U in R^m and Q in
// R^{n x n} symmetric positive semidefinite. Any bound may be infinite; equal
// bounds make an equation or a fixed column. Columns marked in Integer must be
// whole.
//
// For most uses build a [Model] column by column and row by row and call
// [Solve]. The answer is a [Solution], which says three things apart: why the
// solve stopped, what its primal vector is, and what its dual vector is. An
// infeasible problem is an answer with a certificate, not an error; an error
// means that the problem itself could not be understood.
//
// # Sign of the duals
//
// RowDual y and ColumnDual z satisfy Qx + c = A'y + z. A positive entry
// belongs to a constraint that holds at its lower side, a negative one to a
// constraint that holds at its upper side: y_i is the rate at which the least
// cost rises when the active side of row i is raised.
//
// # Certificates
//
// For an infeasible problem RowDual y and ColumnDual z = -A'y form a Farkas
// vector: every x within the bounds would have to satisfy 0 >= D(y, z) > 0,
// where D(y, z) sums each multiplier times the bound on its side. For an
// unbounded one X is a ray: moving along it for ever keeps every constraint
// and lowers the cost. [Problem.FarkasGap] and [Problem.RayFault] check both
// from the problem's data alone.
//
// # Engines
//
// [Solve] picks. Linear programs that are small, or whose factors would be
// dense, go to a dual simplex method on a sparse LU factorisation, finished by
// a primal one: the answer is a vertex. Large sparse ones and quadratic ones go
// to a homogeneous interior-point method on a sparse LDL' factorisation: among
// several answers it finds one in the middle. Where rounding stops one engine
// the other stands in. A presolve takes out what decides itself and gives every
// row its dual back.
//
// Integer columns are searched by branch and bound. Status Optimal means that
// the gap between the best point and the proved bound is closed to within
// [Settings].Gap or AbsoluteGap. A distance from an aim can often be made a
// little smaller by another combination of whole numbers for ever: give such a
// search an AbsoluteGap that says what does not matter.
package solver
