package server

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"sync"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// Data is what a server answers from.
type Data struct {
	Rules    *rules.Rules
	Catalog  *food.Catalog
	Patterns *patterns.Patterns
}

// calls implements the services of the contract.
type calls struct {
	servicev1.UnsafeCreditServiceServer
	servicev1.UnsafeMenuServiceServer
	servicev1.UnsafeReferenceServiceServer
	data     Data
	engine   *credit.Engine
	reviewer *menu.Reviewer
	limit    *limiter

	stopping chan struct{} // closed when streams must end
}

func (c *calls) Credit(ctx context.Context, m *pb.CreditRequest) (*pb.Record, error) {
	rec, err := wire.Credit(c.engine, m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	if s := slotOf(ctx); s != nil {
		s.credited = &credited{record: rec, explain: m.GetExplain()}
		return &pb.Record{}, nil
	}
	return wire.Record(rec, m.GetExplain()), nil
}

func (c *calls) BatchCredit(ctx context.Context, m *pb.BatchCreditRequest) (*pb.BatchCreditResponse, error) {
	out, err := wire.Batch(c.engine, m, shapeOf(ctx), ctx.Err)
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}

// maxID bounds the mark a caller gives a request of a stream.
const maxID = 100

// StreamCredit answers each request in its turn. The stream itself holds no
// place among the requests worked on at once; each of its requests takes one
// while it is worked on. When the server stops, a stream ends between two
// requests: it could stay open for ever.
func (c *calls) StreamCredit(stream grpc.BidiStreamingServer[pb.StreamCreditRequest, pb.StreamCreditResponse]) error {
	var turn sync.Mutex // held while a request is answered
	stopped := false
	ended := make(chan error, 1)
	failed := make(chan string, 1)
	go func() {
		defer func() {
			if p := recover(); p != nil {
				failed <- fmt.Sprintf("%v\n%s", p, debug.Stack())
			}
		}()
		ended <- c.answerAll(stream, &turn, &stopped)
	}()
	select {
	case err := <-ended:
		return err
	case p := <-failed:
		panic(p) // for whoever stands around the call
	case <-c.stopping:
		turn.Lock()
		stopped = true
		turn.Unlock()
		return refusal(codes.Unavailable, Stopping, "This replica of the service stops; open the stream again and send what has had no answer.")
	}
}

func (c *calls) answerAll(stream grpc.BidiStreamingServer[pb.StreamCreditRequest, pb.StreamCreditResponse], turn *sync.Mutex, stopped *bool) error {
	next := func() error {
		m, err := stream.Recv()
		if err != nil {
			return err
		}
		turn.Lock()
		defer turn.Unlock()
		if *stopped {
			return io.EOF
		}
		out, err := c.answer(stream.Context(), m)
		if err != nil {
			return err
		}
		return stream.SendMsg(out)
	}
	for {
		if err := next(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// answer returns the record or a message with the faults.
func (c *calls) answer(ctx context.Context, m *pb.StreamCreditRequest) (any, error) {
	if err := c.limit.wait(ctx); err != nil {
		return nil, err
	}
	defer c.limit.release(false)
	if len(m.GetId()) > maxID {
		var l fault.List
		l.Add(fault.Fault{Reason: fault.TooLong, Path: "id", Value: m.GetId(), Want: fmt.Sprintf("at most %d bytes", maxID), Fix: "Give a shorter mark."})
		return &pb.StreamCreditResponse{Id: fault.Clip(m.GetId()), Faults: wire.Faults(&l)}, nil
	}
	rec, err := wire.Credit(c.engine, m.GetRequest(), missingRequest(m))
	var faults *fault.List
	if errors.As(err, &faults) {
		return &pb.StreamCreditResponse{Id: m.GetId(), Faults: wire.Faults(faults)}, nil
	}
	if err != nil {
		return nil, err
	}
	return &credited{record: rec, explain: m.GetRequest().GetExplain(), id: m.GetId(), stream: true}, nil
}

// missingRequest is the fault of an item without a request.
func missingRequest(m *pb.StreamCreditRequest) *fault.List {
	if m.GetRequest() != nil {
		return nil
	}
	var l fault.List
	l.Add(fault.Fault{Reason: fault.Missing, Path: "request", Want: "a request to credit", Fix: "Put the recipe, the date of service and the program there."})
	return &l
}

func (c *calls) VerifyRecord(ctx context.Context, m *pb.VerifyRecordRequest) (*pb.VerifyRecordResponse, error) {
	out, err := wire.Verify(c.engine, m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}

func (c *calls) Review(ctx context.Context, m *pb.ReviewRequest) (*pb.Review, error) {
	out, err := wire.Review(c.reviewer.Until(ctx.Err), m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.ReviewMessage(out), nil
}

func (c *calls) BatchReview(ctx context.Context, m *pb.BatchReviewRequest) (*pb.BatchReviewResponse, error) {
	out, err := wire.BatchReview(c.reviewer.Until(ctx.Err), m, shapeOf(ctx), ctx.Err)
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}

func (c *calls) ReviewDay(ctx context.Context, m *pb.ReviewDayRequest) (*pb.DayReview, error) {
	out, err := wire.ReviewDay(c.reviewer.Until(ctx.Err), m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.DayMessage(out), nil
}

func (c *calls) LookAhead(ctx context.Context, m *pb.LookAheadRequest) (*pb.LookAhead, error) {
	out, err := wire.LookAhead(c.reviewer.Until(ctx.Err), m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.LookAheadMessage(out), nil
}

func (c *calls) ReviewProduction(ctx context.Context, m *pb.ProductionRequest) (*pb.ProductionReview, error) {
	out, err := wire.Production(c.reviewer.Until(ctx.Err), m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.ProductionMessage(out), nil
}

func (c *calls) CheckTray(ctx context.Context, m *pb.TrayRequest) (*pb.TrayAnswer, error) {
	out, err := wire.CheckTray(c.reviewer.Until(ctx.Err), m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.TrayMessage(out), nil
}

func (c *calls) ListFoods(_ context.Context, m *pb.ListFoodsRequest) (*pb.ListFoodsResponse, error) {
	out, err := wire.ListFoods(c.data.Catalog, m, nil)
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}

func (c *calls) GetFood(_ context.Context, m *pb.GetFoodRequest) (*pb.CatalogFood, error) {
	out, err := wire.GetFood(c.data.Catalog, m)
	if err != nil {
		return nil, withCode(err, codes.NotFound)
	}
	return out, nil
}

func (c *calls) ListRules(_ context.Context, m *pb.ListRulesRequest) (*pb.ListRulesResponse, error) {
	out, err := wire.ListRules(c.data.Rules, m, nil)
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}

func (c *calls) ListPatterns(_ context.Context, m *pb.ListPatternsRequest) (*pb.ListPatternsResponse, error) {
	out, err := wire.ListPatterns(c.data.Patterns, m, nil)
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}

func (c *calls) ListPrograms(context.Context, *pb.ListProgramsRequest) (*pb.ListProgramsResponse, error) {
	return wire.ListPrograms(c.data.Rules), nil
}

func (c *calls) ListMeasures(context.Context, *pb.ListMeasuresRequest) (*pb.ListMeasuresResponse, error) {
	return wire.ListMeasures(), nil
}
