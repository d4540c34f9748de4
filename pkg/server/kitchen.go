package server

import (
	"context"
	"strings"
	"sync"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// kitchenCalls implements what a kitchen asks beyond credits.
type kitchenCalls struct {
	servicev1.UnsafeKitchenServiceServer
	kitchen *kitchen.Kitchen
	catalog *food.Catalog
	reader  func() *reading.Reader // made when the first recipe is read, once
}

func newKitchenCalls(c *calls) *kitchenCalls {
	return &kitchenCalls{kitchen: kitchen.New(c.engine), catalog: c.data.Catalog, reader: sync.OnceValue(func() *reading.Reader { return reading.New(c.data.Catalog) })}
}

// openKitchen puts the kitchen's calls behind the HTTP door.
func (s *Server) openKitchen(ctx context.Context, inside *channel, gateway *runtime.ServeMux) error {
	servicev1.RegisterKitchenServiceServer(inside, s.kitchen)
	return servicev1.RegisterKitchenServiceHandlerClient(ctx, gateway, servicev1.NewKitchenServiceClient(inside))
}

// longInKitchen are the ends of the paths and names of the kitchen's calls that take
// long: a week's recipes, a menu, a search.
var longInKitchen = [...]string{":plan", "/PlanPurchase", ":target", "/Target", "menus:cautions", "/CautionMenu"}

// isLongInKitchen is isLong for the kitchen's calls.
func isLongInKitchen(call string) bool {
	for _, end := range longInKitchen {
		if strings.HasSuffix(call, end) {
			return true
		}
	}
	return false
}

func (c *kitchenCalls) Scale(ctx context.Context, m *pb.ScaleRequest) (*pb.ScaledRecipe, error) {
	out, err := wire.Scale(c.kitchen, m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.ScaleMessage(out, m.GetExplain()), nil
}

func (c *kitchenCalls) Target(ctx context.Context, m *pb.TargetRequest) (*pb.TargetAnswer, error) {
	out, _, err := wire.Target(c.kitchen.Until(ctx.Err), m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.TargetMessage(out, m), nil
}

func (c *kitchenCalls) SizePortion(ctx context.Context, m *pb.SizePortionRequest) (*pb.PortionSize, error) {
	out, err := wire.SizePortion(m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}

func (c *kitchenCalls) CheckShortfall(ctx context.Context, m *pb.ShortfallRequest) (*pb.Shortfall, error) {
	out, err := wire.CheckShortfall(c.kitchen, m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}

func (c *kitchenCalls) ListServingTools(context.Context, *pb.ListServingToolsRequest) (*pb.ListServingToolsResponse, error) {
	return wire.ListServingTools(), nil
}

func (c *kitchenCalls) PlanPurchase(ctx context.Context, m *pb.PurchaseRequest) (*pb.Purchase, error) {
	out, err := wire.PlanPurchase(c.kitchen, m, shapeOf(ctx), ctx.Err)
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.PurchaseMessage(out), nil
}

func (c *kitchenCalls) Compare(ctx context.Context, m *pb.CompareRequest) (*pb.Comparison, error) {
	out, err := wire.Compare(c.kitchen, m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.CompareMessage(out, m.GetExplain()), nil
}

func (c *kitchenCalls) CautionRecipe(ctx context.Context, m *pb.CautionRequest) (*pb.Cautions, error) {
	out, err := wire.Cautions(c.kitchen, m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.CautionsMessage(out), nil
}

func (c *kitchenCalls) CautionMenu(ctx context.Context, m *pb.CautionMenuRequest) (*pb.MenuCautions, error) {
	out, err := wire.CautionMenu(c.kitchen, m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return wire.MenuCautionsMessage(out), nil
}

func (c *kitchenCalls) Read(ctx context.Context, m *pb.ReadRecipeRequest) (*pb.RecipeReading, error) {
	out, err := wire.ReadRecipe(c.reader(), c.catalog, m, shapeOf(ctx))
	if err != nil {
		return nil, statusOf(err)
	}
	return out, nil
}
